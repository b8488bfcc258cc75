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
function lies(sheets, room, gap, edge) {
    let [x, row, y] = [0, 0, 0];
    for (const sheet of sheets.map((s) => at(s, edge))) {
        if (sheet.width > room.width)
            return false;
        if (x > 0 && x + gap + sheet.width > room.width)
            [x, y, row] = [0, y + row + gap, 0];
        x += (x > 0 ? gap : 0) + sheet.width;
        row = Math.max(row, sheet.height);
    }
    return y + row <= room.height;
}
