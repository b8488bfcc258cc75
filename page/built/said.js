// What is said above the pictures: a line that goes after a while, and at once when it holds no more.
/** How long it stays, in ms: time to read a line twice (house). */
const READ = 6000;
export class Said {
    line;
    fading;
    holds = () => true;
    constructor(line) {
        this.line = line;
    }
    say = (words, holds = () => true) => {
        this.holds = holds;
        this.line.textContent = words;
        clearTimeout(this.fading);
        this.fading = window.setTimeout(() => (this.line.textContent = ""), READ);
    };
    /** Takes away what is settled. */
    look() {
        if (!this.holds())
            this.line.textContent = "";
    }
}
