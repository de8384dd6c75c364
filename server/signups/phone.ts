import { type CountryCode, ParseError, parsePhoneNumberWithError } from 'libphonenumber-js';

const SENTENCES: Record<string, string> = {
  TOO_SHORT: 'This number is too short. Check for a missing digit.',
  TOO_LONG: 'This number is too long. Check for an extra digit.',
  INVALID_COUNTRY: 'Start with + and the country code, or leave both out.',
  NOT_A_NUMBER: 'Type a phone number, such as (202) 555-0123.',
};

export type ReadPhone = { e164: string } | { fault: string };

/**
 * A phone number in E.164 from any usual spelling. Numbers that are possible but not known to be assigned are taken: number plans
 * change faster than their data.
 * @param country the one whose national spelling is meant where no + leads
 */
export function readPhone(typed: string, country: CountryCode): ReadPhone {
  try {
    const number = parsePhoneNumberWithError(typed, country);
    if (number.isPossible()) return { e164: number.number };
    return { fault: 'This number has the wrong count of digits. Check it.' };
  } catch (error) {
    if (error instanceof ParseError) return { fault: SENTENCES[error.message] ?? (SENTENCES.NOT_A_NUMBER as string) };
    throw error;
  }
}

/** The country a group's locale names ("en-US" → US). */
export function countryOf(locale: string): CountryCode {
  return (new Intl.Locale(locale).maximize().region ?? 'US') as CountryCode;
}
