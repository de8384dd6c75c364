import { at, type Chance } from './chance.js';

/** Everyone here is invented. Phone numbers are from the block kept for fiction (555-0100 to 555-0199). */
export interface Someone {
  name: string;
  email: string;
  /** E.164. */
  phone: string;
  /** As they would type it. */
  phoneTyped: string;
}

export const COORDINATOR = 'Ruth Abernethy';
export const LEADER = 'Marisol Vance';
export const WALKER = 'Teddy Okonjo';

/** The leaders of each area, by slug; {@link LEADER} comes on top, in Lantern Hills. */
export const LEADERS: Record<string, readonly string[]> = {
  millbrook: ['Hal Pettibone', 'Ngozi Adeyemi', 'Lars Thorvald', 'Winnie Castellano', 'Bao Trinh', 'Dolores Quimby', 'Eamon Farrelly'],
  'port-avery': ['Yasmin Haddadi', 'Clyde Rutherglen', 'Saoirse Whitlock', 'Ichiro Nakadai', 'Bette Lindqvist'],
  'lantern-hills': ['Otis Marchbanks', 'Priya Raghunath', 'Gwen Hathersage', 'Mateo Corriveau', 'Zofia Wieczorek'],
  'quarry-lakes': ['Leroy Dunwoody', 'Amina Warsame', 'Fritz Oberlander', 'Kehaulani Akana', 'June Applewhite'],
  'east-fork': ['Walt Greyeyes'],
};

const GIVEN_NAMES = [
  ...['Ada', 'Amos', 'Anneke', 'Beatriz', 'Bram', 'Carmen', 'Cyrus', 'Dagny', 'Delroy', 'Edith', 'Elio', 'Farah', 'Felix', 'Greta'],
  ...['Hassan', 'Hester', 'Imani', 'Ivo', 'Joan', 'Jun', 'Kofi', 'Lena', 'Linh', 'Luther', 'Mabel', 'Mei', 'Milo', 'Nadia', 'Noor'],
  ...[
    'Olga',
    'Oscar',
    'Pearl',
    'Quincy',
    'Rafael',
    'Rosa',
    'Sanjay',
    'Sigrid',
    'Tamar',
    'Tobias',
    'Uma',
    'Vera',
    'Wendell',
    'Ximena',
    'Yusuf',
  ],
] as const;

const FAMILY_NAMES = [
  ...[
    'Alderson',
    'Bhattarai',
    'Birdsong',
    'Calloway',
    'Cardenas',
    'Dravid',
    'Eastlake',
    'Fairweather',
    'Fontenot',
    'Gallimore',
    'Haugland',
  ],
  ...['Iversen', 'Jankowski', 'Kealoha', 'Kimball', 'Lovelace', 'Mbeki', 'Mirza', 'Nightingale', 'Novotny', "O'Hare", 'Osei', 'Pomeroy'],
  ...['Quayle', 'Restrepo', 'Ruiz-Moreno', 'Sato', 'Silverthorn', 'Tran', 'Underhill', 'Vasquez', 'Wetherby', 'Yamane'],
] as const;

const AREA_CODES = ['202', '303', '404', '515'] as const;

/** Someone with a phone number of their own among the first four hundred, at `host`. */
export function someone(name: string, host: string, number: number, email = addressName(name)): Someone {
  const code = at(AREA_CODES, Math.floor(number / 100));
  const line = `01${String(number % 100).padStart(2, '0')}`;
  const phoneTyped = number % 3 === 0 ? `${code}-555-${line}` : `(${code}) 555-${line}`;
  return { name, email: `${email}@${host}`, phone: `+1${code}555${line}`, phoneTyped };
}

/** `count` walkers, no two with the same address. */
export function inventWalkers(count: number): Someone[] {
  return Array.from({ length: count }, (_, index) => {
    const given = at(GIVEN_NAMES, index);
    // A stride that shares no factor with the list's length meets every pair before any comes again.
    const family = at(FAMILY_NAMES, index * 5 + Math.floor(index / GIVEN_NAMES.length) * 7);
    const name = `${given} ${family}`;
    return someone(name, 'walkers.example', index, `${addressName(name)}.${index + 1}`);
  });
}

/** Someone who comes along with `walker`: of the same family, by another given name. */
export function companion(walker: Someone, chance: Chance): string {
  const family = walker.name.slice(walker.name.indexOf(' ') + 1);
  const given = chance.pick(GIVEN_NAMES.filter((one) => !walker.name.startsWith(one)));
  return `${given} ${family}`;
}

/** Such as fit whoever names whom, of any age. */
const RELATIONS = ['cousin', 'housemate', 'godparent', 'neighbor', 'relative', 'in-law', 'friend', 'family friend'] as const;
const NOTES = [
  '',
  '',
  '',
  '',
  'Asthma; inhaler in the left pocket',
  'Allergic to bee stings, carries an injector',
  'Type 1 diabetes, glucose tablets in the pack',
  'Takes blood thinners',
] as const;

/** Whom to phone for someone: what is sealed. */
export function contactFor(member: string, chance: Chance) {
  const family = member.slice(member.indexOf(' ') + 1);
  const { phone, phoneTyped } = someone(member, 'walkers.example', chance.whole(0, 399));
  return { name: `${chance.pick(GIVEN_NAMES)} ${family}`, relation: chance.pick(RELATIONS), phone, phoneTyped, note: chance.pick(NOTES) };
}

function addressName(name: string): string {
  return name.toLowerCase().replace(/[^a-z]+/g, '.');
}
