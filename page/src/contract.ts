// What the program and the page say to one another. Addresses are relative to the page's own.

export type Mark = "print" | "hold" | "skip";

export interface Flag {
  code: string;
  message: string;
}

/** One frame as its notes have it; places and sizes are those of the upright picture. Densities in D. */
export interface Frame {
  id: number;
  name: string;
  scan: string;
  /** As the picture is called, or what it shows. */
  title: string;
  date: string;
  /** Fields of the shot notes that are written here, as they stand in its own notes; what does not stand there is left out. */
  shot: Record<string, string>;
  /** Why fields of the shot notes cannot be read, and where they stand; in `shot` they stand as they are written. */
  unread: Record<string, string>;
  /** Those of them that stand in the notes of the negative's first scan alone: shown, and never written here. */
  of_first: Record<string, string>;
  base: number | null;
  range: number | null;
  thin: number | null;
  dense: number | null;
  grade: string;
  exposure: string;
  place: string;
  paper: string;
  /** As they stand in the scan's own settings: grade, exposure, placing; null where nothing stands there. */
  own: [string | null, string | null, string | null];
  /** Frames of its scan, for all of which those hold. */
  together: number;
  flags: Flag[];
  mark: Mark | null;
  remark: string;
  /** Whether it lies on the table no more: its notes are gone. It comes back with them. */
  gone: boolean;
  /** Why the notes cannot be read, with file and line. */
  error: string | null;
  /** Why the scan cannot be read. */
  away: string | null;
  /** Of the net picture, in pixels; 0 where nothing is known of the frame. */
  width: number;
  height: number;
  /** Of the frame in the scan, in pixels. */
  pixels: [number, number];
  revision: string;
}

export interface Work {
  what: "prints" | "sheets";
  running: boolean;
  done: number;
  of: number;
  /** Whether it has come to its end, and nothing went wrong. */
  well: boolean;
  /** What is being made, or what was. */
  message: string;
  /** What could not be made, and why. */
  failures: string[];
}

export interface Batch {
  name: string;
  /** Names of the fields of the shot notes that are written here. */
  shot: string[];
  /** L* of what surrounds the pictures. */
  surround: number;
  frames: Frame[];
  grades: string[];
  /** I to IX. */
  zones: string[];
  /** Sheet of the prints that are ordered here, if no other is chosen. */
  size: string;
  /** Sheets to choose from. */
  sizes: string[];
  work: Work | null;
}

/** How a frame prints at some grade and exposure. */
export interface Printed {
  grade: string;
  exposure: string;
  words: string[];
  /** sRGB grey for each of the 4096 codes of net density, base64. */
  screen: string;
  /** Net density and print density, D. */
  curve: [number, number][];
  thin: number;
  dense: number;
  histogram: { from: number; step: number; parts: number[] } | null;
}

/** A place on the picture, all from 0 to 1. */
export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** Rank 3 is the sharpest of the frame, 0 much less sharp. */
export interface FocusMap {
  marks: (Box & { rank: number })[];
  words: string[];
}

export interface DustMap {
  specks: Box[];
}
