// Marks of a grease pencil: a ring prints, a dot holds, a stroke is skipped. White wax on a positive, black on a negative.
import { svg } from "./element.js";
/** Draws `mark` into `on`, whose picture is `width` by `height`; `seed` makes each hand's movement its own. */
export function draw(on, mark, width, height, seed) {
    on.setAttribute("viewBox", `0 0 ${width} ${height}`);
    on.replaceChildren();
    if (!mark)
        return;
    const thick = Math.max(2.2, Math.min(9, Math.min(width, height) * 0.016));
    const path = { print: ring, hold: dot, skip: stroke }[mark](width, height, wobble(seed), thick);
    const lines = [
        ["halo", thick * 1.9],
        ["wax", thick],
    ];
    for (const [name, wide] of lines) {
        on.append(svg("path", { d: path, class: name, "stroke-width": wide.toFixed(1) }));
    }
}
/** A ring that overshoots its beginning, as a hand's does. */
function ring(width, height, wobble, thick) {
    const [cx, cy] = [width / 2 + wobble(width * 0.01), height / 2 + wobble(height * 0.01)];
    const [rx, ry] = [width / 2 - thick * 1.6, height / 2 - thick * 1.6];
    const from = -2.1 + wobble(0.3);
    const points = [];
    const turns = 36;
    const beyond = 4;
    const [a, b] = [wobble(2), wobble(2)];
    for (let i = 0; i <= turns + beyond; i++) {
        const angle = from + (i / turns) * 2 * Math.PI;
        const way = i / turns;
        // Between an ellipse and the frame's own shape: the ring goes around the picture and leaves its middle free.
        const [c, s] = [Math.cos(angle), Math.sin(angle)];
        const squared = (v) => Math.sign(v) * Math.abs(v) ** 0.62;
        const loose = 1 - 0.022 * way + 0.012 * Math.sin(2 * angle + a) + 0.008 * Math.sin(3 * angle + b);
        points.push(`${(cx + rx * loose * squared(c)).toFixed(1)} ${(cy + ry * loose * squared(s)).toFixed(1)}`);
    }
    return smooth(points);
}
function dot(width, _height, wobble, thick) {
    const r = thick * 1.7;
    const [cx, cy] = [width - r * 4.5 + wobble(r / 2), r * 4.5 + wobble(r / 2)];
    const points = Array.from({ length: 22 }, (_, i) => {
        const angle = i * 1.05;
        const out = r * Math.min(1, 0.2 + i / 16) * (1 + wobble(0.1));
        return `${(cx + out * Math.cos(angle)).toFixed(1)} ${(cy + out * Math.sin(angle)).toFixed(1)}`;
    });
    return smooth(points);
}
function stroke(width, height, wobble) {
    const [x0, y0, x1, y1] = [width * 0.07, height * 0.93, width * 0.93, height * 0.07];
    const points = Array.from({ length: 9 }, (_, i) => {
        const way = i / 8;
        const bow = Math.sin(way * Math.PI) * 0.025;
        const x = x0 + (x1 - x0) * way - width * bow + wobble(width * 0.006);
        const y = y0 + (y1 - y0) * way - height * bow + wobble(height * 0.006);
        return `${x.toFixed(1)} ${y.toFixed(1)}`;
    });
    return smooth(points);
}
/** A line through the middles between points, bent at them. */
function smooth(points) {
    const pair = (p) => p.split(" ").map(Number);
    const middle = (a, b) => {
        const [[ax, ay], [bx, by]] = [pair(a), pair(b)];
        return `${((ax + bx) / 2).toFixed(1)} ${((ay + by) / 2).toFixed(1)}`;
    };
    const bends = points.slice(1, -1).map((p, i) => `Q${p} ${middle(p, points[i + 2])}`);
    return `M${points[0]} ${bends.join(" ")} L${points.at(-1)}`;
}
/** Small numbers either way, the same for the same seed. */
function wobble(seed) {
    let state = (seed + 1) * 2654435761;
    return (by) => {
        state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
        return by * (state / 2 ** 31 - 1);
    };
}
