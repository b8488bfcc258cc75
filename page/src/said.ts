// What is said above the pictures: a line that goes after a while, and at once when it holds no more.

/** How long it stays, in ms: time to read a line twice (house). */
const READ = 6000;

/** `holds` tells whether it is still so. */
export type Say = (words: string, holds?: () => boolean) => void;

export class Said {
  private fading: number | undefined;
  private holds = (): boolean => true;

  constructor(private line: HTMLElement) {}

  readonly say: Say = (words, holds = () => true) => {
    this.holds = holds;
    this.line.textContent = words;
    clearTimeout(this.fading);
    this.fading = window.setTimeout(() => (this.line.textContent = ""), READ);
  };

  /** Takes away what is settled. */
  look(): void {
    if (!this.holds()) this.line.textContent = "";
  }
}
