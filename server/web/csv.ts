/** A cell of a table for spreadsheets. */
export type CsvCell = string | number | null | { phone: string | null };

/**
 * A table as CSV (RFC 4180: CRLF, quotes doubled). A text that a spreadsheet would take for a formula gets an apostrophe before it
 * (OWASP, "CSV Injection"); a number or a phone that we know to be one does not. Pure.
 */
export function csvOf(rows: CsvCell[][]): string {
  return rows.map((row) => `${row.map(cellOf).join(',')}\r\n`).join('');
}

function cellOf(cell: CsvCell): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return String(cell);
  if (typeof cell === 'object') return quoted(cell.phone ?? '');
  return quoted(/^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell);
}

function quoted(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
