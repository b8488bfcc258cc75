// The curve that a frame prints on, its tones heaped up below it, and the greys that come of them.
import { element, svg } from "./element.js";
import { codeOf, netWords } from "./net.js";
const [WIDTH, HEIGHT] = [380, 300];
const [LEFT, RIGHT, TOP, BOTTOM] = [34, 16, 12, 46];
/** Height of the row of printed greys. */
const GREYS = 14;
export class Curve {
    element = element("figure", { class: "curve", hidden: "" });
    show(tone) {
        const plot = svg("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img" });
        const ends = `thin end ${netWords(tone.thin)} D, dense end ${netWords(tone.dense)} D`;
        plot.setAttribute("aria-label", `print density over net density, ${ends}`);
        const first = Math.min(0, tone.thin) - 0.1;
        const last = Math.max(1.5, tone.dense + 0.25);
        const deepest = Math.max(...tone.curve.map(([, print]) => print), 1);
        const x = (net) => LEFT + ((net - first) / (last - first)) * (WIDTH - LEFT - RIGHT);
        const y = (print) => TOP + (print / deepest) * (HEIGHT - TOP - BOTTOM);
        const line = (x1, y1, x2, y2, name) => svg("path", { d: `M${x1.toFixed(1)} ${y1.toFixed(1)}L${x2.toFixed(1)} ${y2.toFixed(1)}`, class: name });
        const text = (at, down, words, anchor = "middle") => svg("text", { x: at.toFixed(1), y: down.toFixed(1), "text-anchor": anchor }, words);
        for (let print = 0; print <= deepest; print += 0.5) {
            plot.append(line(LEFT, y(print), WIDTH - RIGHT, y(print), "rule"), text(LEFT - 6, y(print) + 4, print.toFixed(1), "end"));
        }
        for (let net = Math.ceil(first * 2) / 2; net <= last; net += 0.5) {
            plot.append(line(x(net), TOP, x(net), HEIGHT - BOTTOM, "rule"), text(x(net), HEIGHT - BOTTOM + GREYS + 14, net.toFixed(1)));
        }
        plot.append(text(LEFT, HEIGHT - 3, "net density, D", "start"), ...this.heap(tone, x, HEIGHT - BOTTOM));
        const greys = 96;
        for (let i = 0; i < greys; i++) {
            const net = first + ((i + 0.5) / greys) * (last - first);
            const grey = tone.screen[codeOf(net)] ?? 0;
            const wide = (WIDTH - LEFT - RIGHT) / greys;
            plot.append(svg("rect", {
                x: (LEFT + i * wide).toFixed(2),
                y: String(HEIGHT - BOTTOM + 1),
                width: (wide + 0.3).toFixed(2),
                height: String(GREYS),
                fill: `rgb(${grey} ${grey} ${grey})`,
            }));
        }
        for (const [end, words] of [
            [tone.thin, "thin"],
            [tone.dense, "dense"],
        ]) {
            plot.append(line(x(end), TOP, x(end), HEIGHT - BOTTOM, "ends"));
            plot.append(text(x(end) + 4, HEIGHT - BOTTOM - 5, words, "start"));
        }
        const shown = tone.curve.filter(([net]) => net >= first && net <= last);
        const path = shown.map(([net, print], i) => `${i ? "L" : "M"}${x(net).toFixed(1)} ${y(print).toFixed(1)}`).join("");
        plot.append(svg("path", { d: path, class: "way" }));
        this.element.replaceChildren(plot, element("figcaption", {}, "print density over net density"));
    }
    heap(tone, x, ground) {
        const heap = tone.histogram;
        if (!heap)
            return [];
        const most = Math.max(...heap.parts, 1);
        return heap.parts.map((part, i) => {
            const [from, to] = [x(heap.from + i * heap.step), x(heap.from + (i + 1) * heap.step)];
            const high = (part / most) * 0.55 * (HEIGHT - TOP - BOTTOM);
            return svg("rect", {
                class: "heap",
                x: from.toFixed(2),
                y: (ground - high).toFixed(2),
                width: Math.max(0, to - from + 0.2).toFixed(2),
                height: high.toFixed(2),
            });
        });
    }
}
