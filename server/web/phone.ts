import { type CountryCode, ParseError, parsePhoneNumberFromString, parsePhoneNumberWithError } from 'libphonenumber-js';

const SENTENCES: Record<string, string> = {
  TOO_SHORT: 'This number is too short. Check for a missing digit.',
  TOO_LONG: 'This number is too long. Check for an extra digit.',
  INVALID_COUNTRY: 'Start with + and the country code, or leave both out.',
  NOT_A_NUMBER: 'Type a phone number, such as (202) 555-0123.',
};
const WRONG_LENGTH = 'This number has the wrong count of digits. Check it.';
const FROM_ELSEWHERE = 'If it is from another country, begin with + and its code.';

export type ReadPhone = { e164: string } | { fault: string };

/**
 * A phone number in E.164 from any usual spelling. Numbers that are possible but not known to be assigned are taken: number plans
 * change faster than their data. 00 and 011, which are dialled for + in most countries, are read as + where a number follows.
 * @param country the one whose national spelling is meant where no + leads
 */
export function readPhone(typed: string, country: CountryCode): ReadPhone {
  // No country has numbers of its own that begin with 00; 011 begins some, so what it can mean at home goes first.
  const abroad = /^\s*00/.test(typed) ? asInternational(typed) : null;
  if (abroad !== null) return { e164: abroad };
  const read = readAtHome(typed, country);
  if ('e164' in read) return read;
  const dialled = asInternational(typed);
  return dialled === null ? read : { e164: dialled };
}

function readAtHome(typed: string, country: CountryCode): ReadPhone {
  const elsewhere = typed.trim().startsWith('+') ? '' : ` ${FROM_ELSEWHERE}`;
  try {
    const number = parsePhoneNumberWithError(typed, country);
    return number.isPossible() ? { e164: number.number } : { fault: WRONG_LENGTH + elsewhere };
  } catch (error) {
    if (!(error instanceof ParseError)) throw error;
    const sentence = SENTENCES[error.message] ?? (SENTENCES.NOT_A_NUMBER as string);
    return { fault: /^TOO_/.test(error.message) ? sentence + elsewhere : sentence };
  }
}

/** The number that 00 or 011 leads, in E.164; null where they lead none. */
function asInternational(typed: string): string | null {
  const rest = /^\s*(?:00|011)[\s().-]*([1-9].*)$/.exec(typed)?.[1];
  const number = rest === undefined ? undefined : parsePhoneNumberFromString(`+${rest}`);
  return number?.isPossible() ? number.number : null;
}

/** A number kept as E.164, spaced to be read: "+1 202 555 0124". */
export function phoneText(e164: string): string {
  return parsePhoneNumberFromString(e164)?.formatInternational() ?? e164;
}

/** The country a group's locale names ("en-US" → US). */
export function countryOf(locale: string): CountryCode {
  return (new Intl.Locale(locale).maximize().region ?? 'US') as CountryCode;
}
