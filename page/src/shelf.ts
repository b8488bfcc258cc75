// Answers kept for as long as there is room: what was not looked at for longest goes first.

export class Shelf<T> {
  private kept = new Map<string, { value: Promise<T>; size: number }>();
  private size = 0;

  /** `room` in whatever unit `sizeOf` tells. */
  constructor(
    private room: number,
    private sizeOf: (value: T) => number,
  ) {}

  get(key: string, fetch: () => Promise<T>): Promise<T> {
    const known = this.kept.get(key);
    if (known) {
      this.kept.delete(key);
      this.kept.set(key, known);
      return known.value;
    }
    const entry = { value: fetch(), size: 0 };
    this.kept.set(key, entry);
    entry.value.then(
      (value) => {
        entry.size = this.sizeOf(value);
        this.size += entry.size;
        this.makeRoom(key);
      },
      () => this.kept.delete(key),
    );
    return entry.value;
  }

  private makeRoom(latest: string): void {
    for (const [key, entry] of this.kept) {
      if (this.size <= this.room) return;
      if (key === latest || entry.size === 0) continue;
      this.kept.delete(key);
      this.size -= entry.size;
    }
  }
}
