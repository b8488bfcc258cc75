// Steps of the bench: grades by halves, exposures by thirds of a stop.
/** "00" is -1, as in the notes. */
export function gradeNumber(grade) {
    return grade.trim() === "00" ? -1 : number(grade);
}
/** The grade of `grades` that is `steps` harder than `grade`; one between two steps goes to the next. */
export function harder(grades, grade, steps) {
    const numbers = grades.map(gradeNumber);
    const here = gradeNumber(grade);
    const exact = numbers.indexOf(here);
    const above = numbers.findIndex((n) => n > here);
    const from = exact >= 0 ? exact : above < 0 ? grades.length - 1 : steps > 0 ? above - 1 : above;
    return grades[Math.min(grades.length - 1, Math.max(0, from + steps))] ?? grade;
}
/** Stops of "+1 1/3", "-2/3", "0". */
export function stopsOf(words) {
    return number(words);
}
/** Stops in thirds, as words: "+1 1/3". */
export function stopWords(thirds) {
    const [whole, part] = [Math.floor(Math.abs(thirds) / 3), Math.abs(thirds) % 3];
    const size = [whole > 0 ? String(whole) : "", part > 0 ? `${part}/3` : ""].filter((w) => w !== "").join(" ");
    return thirds === 0 ? "0" : (thirds < 0 ? "-" : "+") + size;
}
/** `exposure` moved by `steps` thirds; one between two thirds goes to the next. */
export function darker(exposure, steps) {
    const thirds = 3 * stopsOf(exposure);
    const whole = Math.abs(thirds - Math.round(thirds)) < 1e-6;
    const from = whole ? Math.round(thirds) : steps > 0 ? Math.floor(thirds) : Math.ceil(thirds);
    return stopWords(from + steps);
}
/** Fractions of one letter, as they stand on a dial: "2½", "+⅓". */
export function dial(words) {
    const letters = { "1/2": "½", "1/3": "⅓", "2/3": "⅔", "1/4": "¼", "3/4": "¾" };
    return words.replace(/^-/, "\u2212").replace(/(\d )?(\d\/\d)/g, (all, whole, part) => {
        const letter = letters[part];
        return letter ? (whole ?? "").trim() + letter : all;
    });
}
/** An exposure as it is said: "+1/3 stop", "+1 1/3 stops". */
export function stopsWords(exposure) {
    const stops = Math.abs(stopsOf(exposure));
    return stops === 0 ? "exposure 0" : `${exposure} ${stops > 1 ? "stops" : "stop"}`;
}
/** What an exposure is found by, as it is said: where a spot lies is seen, its zone is not. */
export function placedWords(place) {
    if (place === "fixed")
        return "one exposure for all";
    return place.includes("=") ? place.replace(/^.*=/, "a spot on zone ") : `placed by the ${place}`;
}
function number(words) {
    const parts = /^([+-]?)(\d+(?:\.\d+)?)?(?: ?(\d+)\/(\d+))?$/.exec(words.trim());
    if (!parts)
        return Number.NaN;
    const size = Number(parts[2] ?? 0) + (parts[3] ? Number(parts[3]) / Number(parts[4]) : 0);
    return parts[1] === "-" ? -size : size;
}
