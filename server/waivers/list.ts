import { CsvError, parse } from 'csv-parse/sync';
import { addMonths } from '../calc/month.js';
import { readEmail } from '../people/email.js';
import { readName } from '../signups/name.js';
import { type Faults, isDate, line } from '../web/forms.js';
import { FORM_BYTES } from '../web/parse-form.js';
import { nameKey } from './rules.js';

/** One person whose signature is on file elsewhere. */
export interface Listed {
  /** Where it stands in the list; the first line, which names the columns, is 1. */
  line: number;
  name: string;
  email: string;
  /** YYYY-MM-DD */
  signed: string;
}

/** A line that can't be brought in. */
export interface BadLine {
  line: number;
  /** What stands there. */
  text: string;
  sentence: string;
}

export interface List {
  good: Listed[];
  bad: BadLine[];
  /** Names of columns that are not read. */
  ignored: string[];
}

export const MOST_LINES = 5000;
/** The list travels in a hidden field of the form that brings it in, beside a few short fields. */
export const MOST_LIST_BYTES = FORM_BYTES - 8 * 1024;
const COLUMNS = ['name', 'email', 'signed'] as const;
const LONGEST_SHOWN = 120;
/** How old a signature may be (common practice, no source). */
const MOST_MONTHS = 12;

/** The text of a file: UTF-8 with or without its mark; null where it is something else. */
export function decodeList(pieces: Buffer[]): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(Buffer.concat(pieces));
  } catch {
    return null;
  }
}

/** A list as it is read and carried on: line ends made \n, no byte-order mark, nothing that a form can't carry. Lines keep their numbers. */
export function plainList(text: string): string {
  return text
    .replace(/^\uFEFF/, '')
    .replace(/\r\n?/g, '\n')
    .toWellFormed()
    .replace(/[^\P{Cc}\t\n]/gu, '');
}

/**
 * Reads a list of signatures, columns name, email and signed in any order, strictly as RFC 4180 has it, but that line ends may be LF and
 * that semicolons or tabs may part the values where they part the columns of the first line. Pure.
 * @param text from {@link plainList}
 * @param today YYYY-MM-DD, for the group
 * @returns its lines, good and bad, or a sentence where it is no such list
 */
export function readList(text: string, today: string): List | { fault: string } {
  if (text.trim() === '') return { fault: 'Choose a CSV file, or paste the list.' };
  // Browsers send each line end as two characters.
  const bytes = Buffer.byteLength(text) + text.split('\n').length;
  if (bytes > MOST_LIST_BYTES)
    return { fault: `This list is larger than ${Math.floor(MOST_LIST_BYTES / 1024)} KB. Split it, each part with the first line on top.` };
  const read = records(text);
  if ('fault' in read) return read;
  const [header, ...lines] = read;
  const places = header && columnPlaces(header.cells);
  if (!header || !places)
    return {
      fault: `The first line must name the columns, parted by commas, semicolons or tabs: ${COLUMNS.join(',')}. Here it is: ${shown(header?.cells ?? [])}`,
    };
  if (lines.length > MOST_LINES)
    return { fault: `This list has ${lines.length} people; ${MOST_LINES} at most fit. Split it, each part with the first line on top.` };
  const ignored = header.cells.map(clean).filter((_, index) => !places.includes(index));
  return { ...sorted(lines, { places, width: header.cells.length, today }), ignored };
}

interface Record {
  line: number;
  cells: string[];
}

/** The records of a CSV text, blank lines left out, each with the number of the line it begins on. */
function records(text: string): Record[] | { fault: string } {
  const found: Record[] = [];
  let read = 0;
  const take = (cells: string[], at: { lines: number }) => {
    read = at.lines;
    const breaks = cells.join('').split('\n').length - 1;
    if (cells.some((cell) => cell.trim() !== '')) found.push({ line: at.lines - breaks, cells });
    return null;
  };
  try {
    parse(text, { delimiter: delimiterOf(text), record_delimiter: '\n', relax_column_count: true, on_record: take });
    return found;
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    return { fault: brokenQuote(error, text, read) };
  }
}

/** What parts the columns of the first line: spreadsheets write semicolons where the comma is the decimal sign, and paste with tabs. */
function delimiterOf(text: string): string {
  const [header = ''] = text.split('\n').filter((one) => one.trim() !== '');
  return [',', ';', '\t'].find((one) => columnPlaces(header.replaceAll('"', '').split(one))) ?? ',';
}

/** @param read the lines read until then */
function brokenQuote(error: CsvError, text: string, read: number): string {
  if (error.code !== 'CSV_QUOTE_NOT_CLOSED')
    return `Line ${String(error.lines)}: a quotation mark (") stands in the middle of a value. Put the whole value between two of them and double those within, or take it out.`;
  const rest = text.split('\n').slice(read);
  const opening = read + 1 + rest.findIndex((one) => one.trim() !== '');
  return `Line ${opening}: a quotation mark (") is opened there and never closed.`;
}

/** Where each column stands; null where one is missing or there twice. */
function columnPlaces(header: string[]): number[] | null {
  const names = header.map((name) => clean(name).toLowerCase());
  const isOnce = COLUMNS.every((column) => names.filter((name) => name === column).length === 1);
  return isOnce ? COLUMNS.map((column) => names.indexOf(column)) : null;
}

function sorted(lines: Record[], at: { places: number[]; width: number; today: string }): Pick<List, 'good' | 'bad'> {
  const good: Listed[] = [];
  const bad: BadLine[] = [];
  const first = new Map<string, number>();
  for (const record of lines) {
    const read = readLine(record, at);
    const key = 'fault' in read ? '' : personKey(read);
    const before = first.get(key);
    if ('fault' in read) bad.push({ line: record.line, text: shown(record.cells), sentence: read.fault });
    else if (before !== undefined)
      bad.push({ line: record.line, text: shown(record.cells), sentence: `The same person as line ${before}: that line counts.` });
    else {
      first.set(key, record.line);
      good.push(read);
    }
  }
  return { good, bad };
}

/** The same person: the same address and, however it is spaced or capitalised, the same name. */
export function personKey({ name, email }: Pick<Listed, 'name' | 'email'>): string {
  return `${email} ${nameKey(name)}`;
}

function readLine({ line: number, cells }: Record, at: { places: number[]; width: number; today: string }): Listed | { fault: string } {
  if (cells.length !== at.width) return { fault: `The first line has ${at.width} columns, this one ${cells.length}.` };
  const [name = '', typedEmail = '', signed = ''] = at.places.map((place) => clean(cells[place] ?? ''));
  const faults: Faults = {};
  readName(name, 'name', 'There is no name.', faults);
  const email = readEmail(typedEmail);
  if (faults.name) return { fault: faults.name };
  if (email === null) return { fault: 'That is no e-mail address.' };
  const fault = dateFault(signed, at.today);
  return fault === null ? { line: number, name, email, signed } : { fault };
}

function dateFault(signed: string, today: string): string | null {
  if (!isDate(signed)) return notUnderstood(signed);
  if (signed > today) return 'The date is still to come.';
  const oldest = addMonths(today.slice(0, 7), -MOST_MONTHS) + today.slice(7);
  return signed < oldest ? `Signed more than ${MOST_MONTHS} months ago: it has to be signed anew.` : null;
}

/** Which day another way of writing means is not guessed: each that it may mean is said, to choose from. */
function notUnderstood(signed: string): string {
  const readings = dateReadings(signed);
  if (signed === '') return 'There is no date.';
  if (readings.length === 0) return `${signed} is not understood: write the year in four digits, then month and day, as 2026-11-05.`;
  return `${signed} is not understood: write ${readings.join(' or ')}.`;
}

/** The dates that one with the year at an end may mean: 10/12/2026 is in October or in December. */
function dateReadings(signed: string): string[] {
  const [, year, month = '', day = ''] = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})\.?$/.exec(signed) ?? [];
  const [, one = '', other = '', endYear] = /^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})$/.exec(signed) ?? [];
  const dates = year
    ? [[year, month, day]]
    : endYear
      ? [
          [endYear, one, other],
          [endYear, other, one],
        ]
      : [];
  const written = dates.map((parts) => parts.map((part) => part.padStart(2, '0')).join('-'));
  return [...new Set(written)].filter(isDate);
}

function clean(value: string): string {
  return line({ value }, 'value');
}

function shown(cells: string[]): string {
  const text = cells.map(clean).join(', ');
  return text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN).toWellFormed()}…` : text;
}
