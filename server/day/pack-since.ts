import type { FactName, WalkFacts } from '../walks/facts.js';
import { PARTS, type Part } from './pack.js';

/** A pack that was made, as far as warning goes. */
export interface Made {
  at: number;
  version: number;
  parts: Part[];
  contacts: boolean;
  list: Record<string, 0 | 1>;
  digest: string;
}

/** Facts of a walk that are printed, in the words of the warning; one that is not named here is on no paper. */
const PRINTED: Partial<Record<FactName, string>> = {
  date: 'the date',
  gather: 'when you gather',
  setOff: 'when you set off',
  zone: 'the time zone',
  meetingPoint: 'the meeting point',
  landmark: 'the landmark',
  lat: 'the map point',
  lon: 'the map point',
  distanceMetres: 'the length',
  routeId: 'the route',
  routeName: 'the name of the route',
  locality: 'the place',
  ascentMetres: 'the climb',
  stops: 'the stops',
  directions: 'the directions',
  areaId: 'the area',
  explained: 'why it goes ahead',
};

/** The packs of which some part was not printed again since, each with those parts. Pure. @param made the newest first */
export function stillHeld<One extends Pick<Made, 'parts'>>(made: readonly One[]): { pack: One; parts: Part[] }[] {
  const seen = new Set<Part>();
  return made.flatMap((pack) => {
    const parts = pack.parts.filter((part) => !seen.has(part));
    for (const part of parts) seen.add(part);
    return parts.length > 0 ? [{ pack, parts }] : [];
  });
}

/** What changed of a walk between two versions, of what is printed: "the meeting point and the stops changed". Pure. */
export function walkSince(before: WalkFacts, after: WalkFacts): string[] {
  const changed = (Object.keys(PRINTED) as FactName[]).filter((name) => JSON.stringify(before[name]) !== JSON.stringify(after[name]));
  const words = [...new Set(changed.flatMap((name) => PRINTED[name] ?? []))];
  return words.length === 0 ? [] : [`${and(words)} changed`];
}

/** How a list changed: "2 joined", "1 withdrew", "1 signed the waiver"; where only a name, a phone or a guardian did, that. Pure. */
export function listSince(before: Pick<Made, 'list' | 'digest'>, now: Pick<Made, 'list' | 'digest'>): string[] {
  const [then, today] = [new Map(Object.entries(before.list)), new Map(Object.entries(now.list))];
  const joined = [...today.keys()].filter((who) => !then.has(who)).length;
  const gone = [...then.keys()].filter((who) => !today.has(who)).length;
  const stayed = [...today].filter(([who]) => then.has(who));
  const signed = stayed.filter(([who, waiver]) => waiver === 1 && then.get(who) === 0).length;
  const lapsed = stayed.filter(([who, waiver]) => waiver === 0 && then.get(who) === 1).length;
  const words = [
    joined > 0 ? `${joined} joined` : '',
    gone > 0 ? `${gone} withdrew` : '',
    signed > 0 ? `${signed} signed the waiver` : '',
    lapsed > 0 ? `${lapsed} must sign the waiver anew` : '',
  ].filter((word) => word !== '');
  if (words.length > 0 || before.digest === now.digest) return words;
  return ["somebody's name, phone or guardian was put right"];
}

/** How things stand now, for what was printed before. */
export interface Now extends Pick<Made, 'list' | 'digest'> {
  facts: WalkFacts;
  /** The walk as it was at a version. */
  factsAt: (version: number) => WalkFacts | undefined;
  /** When the walk was last given other leaders, and its forecast typed in, ms. */
  leadersAt: number | null;
  forecastAt: number | null;
  /** When emergency contacts were given, ms. */
  contactsAt: number[];
}

/** What changed since a pack was made, as far as these parts of it show. Pure. */
export function sinceMade(pack: Made, parts: Part[], now: Now): string[] {
  const hasWalk = parts.some((part) => PARTS[part].hasWalk);
  const before = now.factsAt(pack.version);
  const contacts = pack.contacts && parts.includes('list') ? now.contactsAt.filter((at) => at > pack.at).length : 0;
  return [
    ...(hasWalk && before ? walkSince(before, now.facts) : []),
    ...(hasWalk && (now.leadersAt ?? 0) > pack.at ? ['who leads it changed'] : []),
    ...(parts.some((part) => part === 'way' || part === 'briefing') && (now.forecastAt ?? 0) > pack.at ? ['a forecast was typed in'] : []),
    ...(parts.some((part) => PARTS[part].hasPeople) ? listSince(pack, now) : []),
    ...(contacts > 0 ? [contacts === 1 ? '1 emergency contact was given anew' : `${contacts} emergency contacts were given anew`] : []),
  ];
}

/** "a", "a and b", "a, b and c" */
function and(words: string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
