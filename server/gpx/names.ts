/** Control characters, and the marks that turn the direction of the text around them. */
const UNSEEN = /[\p{Cc}\p{Cs}\p{Co}\p{Cn}\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff]+/gu;

/** A name from somebody's file as one line of what can be seen, cut at `most` characters. */
function cleanName(name: string, most: number): string {
  // Many writers escape twice.
  const line = name.replaceAll('&amp;', '&').replace(UNSEEN, ' ').replace(/\s+/g, ' ').trim().normalize('NFC');
  return [...line].slice(0, most).join('').trim();
}

const MONTH = '(jan(uary)?|feb(ruary)?|mar(ch)?|apr(il)?|may|june?|july?|aug(ust)?|sept?(ember)?|oct(ober)?|nov(ember)?|dec(ember)?)';
const WHEN = [
  /\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}/,
  /\b\d{1,2}[:h]\d{2}/,
  /\b0\d\.\d{2}\b/,
  /\b\d{1,2}\.\d{1,2}\.(?!\d)/,
  /(?<!\d)(19|20)\d{2}(?!\d)/,
  /(?<!\d)(19|20)\d{6}/,
  /\b\d{1,2} ?[ap]\.?m\b/i,
  new RegExp(`\\b${MONTH}\\.? \\d`, 'i'),
  new RegExp(`\\d(st|nd|rd|th)? ${MONTH}\\b`, 'i'),
];

/** Whether a name tells of a day or a clock: whoever recorded the way did not mean to tell everyone when they walked it. */
function tellsWhen(name: string): boolean {
  return WHEN.some((pattern) => pattern.test(name));
}

/** Numbers of phones, houses' codes, seconds since 1970: nothing that names a place has so many digits. */
const LONG_NUMBER = /\d(?:[ ().-]?\d){5,}/;

/** A name from somebody's file for everyone to read; '' where it tells of a day, a clock or a long number. */
export function publicName(name: string, most: number): string {
  const clean = cleanName(name, most);
  return tellsWhen(clean) || LONG_NUMBER.test(clean) ? '' : clean;
}
