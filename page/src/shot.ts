// Shot notes that are written at the table: what a picture is called and shows, and how its negative came to be.

import type { Frame } from "./contract.js";

/** A field of the notes as it is said. */
export function fieldName(field: string): string {
  return field.split(".").at(-1) ?? field;
}

/** How a frame looks with these fields of its shot notes. */
export function withShot(frame: Frame, fields: Record<string, string | null>): Pick<Frame, "shot" | "title" | "date"> {
  const shot = { ...frame.shot };
  for (const [field, words] of Object.entries(fields)) {
    if (words) shot[field] = words;
    else delete shot[field];
  }
  const said = (field: string): string => shot[field] ?? frame.of_first[field] ?? "";
  const title = "title" in fields || "subject" in fields ? said("title") || said("subject") : frame.title;
  return { shot, title, date: "date" in fields ? said("date") : frame.date };
}
