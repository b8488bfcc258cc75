// The easel: one picture as large as the bench has room for, with the paper's white around it, and what is laid over it.
import { blacken } from "./beyond.js";
import { develop, developBand } from "./develop.js";
import { element, svg } from "./element.js";
/** A picture is shown at most so many times its own pixels (house: beyond it looks soft where the scan is sharp). */
const ENLARGED = 2.5;
/** Long edge of a proof, in pixels. */
const PROOF = 1600;
/** Least side of a box laid over the picture, in px: smaller ones would hide what they show (house). */
const LEAST_BOX = 16;
export class Easel {
    resized;
    picture = element("canvas", { role: "img" });
    /** Lies on the picture: what is no film there. */
    edge = element("canvas", { class: "edge-black", "aria-hidden": "true" });
    over = svg("svg", { class: "over", viewBox: "0 0 1 1", preserveAspectRatio: "none", "aria-hidden": "true" });
    bands = element("div", { class: "bands", role: "group", "aria-label": "test strip", hidden: "" });
    paper = element("div", { class: "paper" }, this.picture, this.edge, this.over, this.bands);
    element = element("div", { class: "easel" }, this.paper);
    net;
    image;
    /** `resized` hears that it has another size: another picture may suit it. */
    constructor(resized) {
        this.resized = resized;
        this.clear();
        new ResizeObserver(() => {
            this.fit();
            if (this.net && this.bands.hidden)
                this.resized();
        }).observe(this.element);
    }
    /** Long edge in pixels of a picture of `frame` that is as sharp as the screen: at least that of a proof. */
    longOf(frame) {
        const { width, height } = frame;
        const by = Math.min(this.element.clientWidth / width, this.element.clientHeight / height);
        return Math.max(PROOF, devicePixelRatio * by * Math.max(width, height));
    }
    lay(net, name) {
        if (this.net !== net) {
            this.net = net;
            this.image = new ImageData(net.width, net.height);
            this.picture.width = net.width;
            this.picture.height = net.height;
            this.edge.width = this.edge.height = 0;
            this.fit();
        }
        this.picture.setAttribute("aria-label", name);
    }
    clear() {
        this.net = this.image = undefined;
        this.picture.width = this.picture.height = this.edge.width = this.edge.height = 0;
        this.picture.removeAttribute("aria-label");
        this.over.replaceChildren();
    }
    expose(screen) {
        if (!this.net || !this.image)
            return;
        develop(this.net.codes, screen, this.image.data);
        this.picture.getContext("2d")?.putImageData(this.image, 0, 0);
    }
    /** Lays the print's black, or nothing, over what is no film. The picture below stays the program's own to the bit. */
    frame(frame, screen) {
        this.edge.hidden = screen === undefined;
        if (!this.net || !screen)
            return;
        const image = new ImageData(this.net.width, this.net.height);
        blacken(this.net, frame, screen, image.data);
        this.edge.width = this.net.width;
        this.edge.height = this.net.height;
        this.edge.getContext("2d")?.putImageData(image, 0, 0);
    }
    /** Bands side by side along the longer side, each through its own table; returns whether they stand upright. */
    exposeBands(screens) {
        if (!this.net || !this.image)
            return true;
        const across = this.net.width >= this.net.height;
        const long = across ? this.net.width : this.net.height;
        screens.forEach((screen, band) => {
            const [from, to] = [band, band + 1].map((b) => Math.round((b * long) / screens.length));
            developBand(this.net.codes, this.net.width, across, from, to, screen, this.image.data);
        });
        this.picture.getContext("2d")?.putImageData(this.image, 0, 0);
        return across;
    }
    /** Net code of a place of the picture. */
    codeAt({ u, v }) {
        if (!this.net)
            return undefined;
        const x = Math.min(this.net.width - 1, Math.floor(u * this.net.width));
        const y = Math.min(this.net.height - 1, Math.floor(v * this.net.height));
        return this.net.codes[y * this.net.width + x];
    }
    spotOf(event) {
        const box = this.picture.getBoundingClientRect();
        const [u, v] = [(event.clientX - box.x) / box.width, (event.clientY - box.y) / box.height];
        return u >= 0 && u <= 1 && v >= 0 && v <= 1 ? { u, v } : undefined;
    }
    /** Dots over the picture, the larger the higher their rank; none for rank 0. Light on dark, so that they show on any tone. */
    dot(name, places) {
        const line = ({ x, y, width, height, rank }) => [
            `M${x + width / 2} ${y + height / 2}h0`,
            ` rank-${rank}`,
        ];
        this.draw(name, places.filter((p) => p.rank > 0).map(line));
    }
    /** Boxes around places on the picture. */
    box(name, places) {
        const [across, down] = [LEAST_BOX / this.picture.clientWidth, LEAST_BOX / this.picture.clientHeight];
        const line = (place) => {
            const [width, height] = [Math.max(across, place.width), Math.max(down, place.height)];
            const [x, y] = [place.x + (place.width - width) / 2, place.y + (place.height - height) / 2];
            return [`M${x} ${y}h${width}v${height}h${-width}z`, ""];
        };
        this.draw(name, places.map(line));
    }
    cross(spot) {
        this.wipe("cross");
        if (!spot)
            return;
        const box = this.picture.getBoundingClientRect();
        const [r, s] = [14 / box.width, 14 / box.height];
        const { u, v } = spot;
        const d = `M${u - r} ${v}h${0.7 * r}M${u + 0.3 * r} ${v}h${0.7 * r}M${u} ${v - s}v${0.7 * s}M${u} ${v + 0.3 * s}v${0.7 * s}`;
        this.draw("cross", [[d, ""]]);
    }
    draw(name, lines) {
        this.wipe(name);
        const group = svg("g", { class: name });
        for (const kind of ["under", "upper"])
            group.append(...lines.map(([d, rank]) => svg("path", { d, class: kind + rank })));
        this.over.append(group);
    }
    wipe(name) {
        this.over.querySelector(`.${name}`)?.remove();
    }
    fit() {
        if (!this.net || this.element.clientWidth === 0)
            return;
        const style = getComputedStyle(this.paper);
        const white = 2 * parseFloat(style.paddingLeft);
        const by = Math.min((this.element.clientWidth - white) / this.net.width, (this.element.clientHeight - white) / this.net.height, ENLARGED / Math.min(1, devicePixelRatio));
        this.picture.style.width = `${Math.floor(this.net.width * by)}px`;
        this.picture.style.height = `${Math.floor(this.net.height * by)}px`;
    }
}
