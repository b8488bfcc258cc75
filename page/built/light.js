// Greys of the screen: sRGB (IEC 61966-2-1) and L* (ISO 11664-4).
/** 8-bit sRGB code of light from 0 to 1. */
export function screenCode(light) {
    const l = Math.min(1, Math.max(0, light));
    return Math.round(255 * (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055));
}
export function luminanceOf(lightness) {
    return lightness > 8 ? ((lightness + 16) / 116) ** 3 : (lightness * 27) / 24389;
}
export function greyOf(lightness) {
    const code = screenCode(luminanceOf(lightness));
    return `rgb(${code} ${code} ${code})`;
}
