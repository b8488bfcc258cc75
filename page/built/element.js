// Making what stands on the page.
export function element(name, attributes = {}, ...parts) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes))
        made.setAttribute(key, value);
    made.append(...parts);
    return made;
}
export function svg(name, attributes = {}, ...parts) {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes))
        made.setAttribute(key, value);
    made.append(...parts);
    return made;
}
/** The element that the page is written with. */
export function find(id) {
    const found = document.getElementById(id);
    if (!found)
        throw new Error(`the page has no #${id}`);
    return found;
}
