// Sizes of sheets, as they are said.

/** "30x24cm" as "30 \u00d7 24 cm". */
export function sizeWords(size: string): string {
  return size.replace(/\s*[x\u00d7]\s*/i, " \u00d7 ").replace(/(\d)\s*([a-z]+)$/i, "$1 $2");
}
