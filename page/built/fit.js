// How large films may be so that all lie on the table, side by side in rows.
/** The largest long edge from `least` to `most` at which all `sheets` fit `room`, `gap` apart; `least` where none does. */
export function fit(sheets, room, gap, least, most) {
    let [fits, tooLarge] = [least, Math.max(least, most) + 1];
    while (tooLarge - fits > 1) {
        const edge = Math.floor((fits + tooLarge) / 2);
        if (lies(sheets, room, gap, edge))
            fits = edge;
        else
            tooLarge = edge;
    }
    return fits;
}
/** A sheet at a long edge of `edge`. */
export function at(sheet, edge) {
    const by = edge / Math.max(sheet.width, sheet.height);
    return { width: sheet.width * by, height: sheet.height * by };
}
/** Where not all fit: films as wide as so many columns of at least `least` leave room for. */
export function columns(room, gap, least) {
    const count = Math.max(1, Math.floor((room.width + gap) / (least + gap)));
    return Math.floor((room.width - (count - 1) * gap) / count);
}
/** The least width that needs no more rows and no more height than `room` gives, so that the last row is not left nearly empty. */
export function balanced(sheets, room, gap, edge) {
    const widest = rows(sheets, room.width, gap, edge);
    const most = Math.max(room.height, heightOf(widest, gap));
    const does = (width) => {
        const laid = rows(sheets, width, gap, edge);
        return laid.length <= widest.length && heightOf(laid, gap) <= most && laid.every((row) => row.width <= width);
    };
    let [short, enough] = [0, room.width];
    while (enough - short > 1) {
        const middle = (short + enough) / 2;
        if (does(middle))
            enough = middle;
        else
            short = middle;
    }
    return Math.ceil(enough);
}
function lies(sheets, room, gap, edge) {
    const laid = rows(sheets, room.width, gap, edge);
    return laid.every((row) => row.width <= room.width) && heightOf(laid, gap) <= room.height;
}
function heightOf(laid, gap) {
    return laid.reduce((sum, row) => sum + row.height, (laid.length - 1) * gap);
}
/** The rows that sheets lie in, one after another. */
function rows(sheets, width, gap, edge) {
    const laid = [];
    for (const sheet of sheets.map((s) => at(s, edge))) {
        const row = laid.at(-1);
        if (row && row.width + gap + sheet.width <= width) {
            row.width += gap + sheet.width;
            row.height = Math.max(row.height, sheet.height);
        }
        else
            laid.push({ ...sheet });
    }
    return laid;
}
