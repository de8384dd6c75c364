import { STOP_KINDS, type StopKind } from '../walks/stops.js';

/** Words by which files tell what a place offers. */
const WORDS: Record<StopKind, RegExp> = {
  toilets: /\b(toilets?|rest ?rooms?|wc|loos?|lavator(y|ies)|washrooms?|bathrooms?|latrines?|privy|privies|outhouses?)\b/,
  water: /\b(water|fountains?|taps?|drinking|spigots?)\b/,
  shop: /\b(shops?|shopping|stores?|cafes?|cafeteria|coffee|food|grocer(y|ies)|groceries|supermarkets?|bakery|deli|restaurants?|kiosk)\b/,
  shelter: /\b(shelters?|huts?|pavilions?|lean to)\b/,
  regroup: /\b(regroup(ing)?|re group|meeting|meet ?up|rendezvous|gather(ing)?)\b/,
};

/** "Water Street" has no water, "Meeting House" no meeting. */
const ADDRESS = /\b[a-z]+ (streets?|st|roads?|rd|lanes?|ln|avenues?|ave|drive|way|house|tower|works|mill)\b/g;
/** "No toilets or water": what one part of it denies, no other part offers. */
const DENIED = /\b(no|without|non) [a-z]+( (?!or |and |nor )[a-z]+)?(,? (or|and|nor) [a-z]+)*/g;
const UNFIT = /\b(not|closed|out of order|undrinkable|non potable)\b/;

/** What a place offers, by its symbol, its type and its name; none where they do not tell. */
export function kindsOf(place: { symbol: string; type: string; name: string }): StopKind[] {
  const words = [place.symbol, place.type, place.name].map(plain);
  if (words.some((text) => UNFIT.test(text))) return [];
  const denied = words.flatMap((text) => text.match(DENIED) ?? []).join(' . ');
  const told = words.map((text) => text.replace(DENIED, ' . ').replace(ADDRESS, ' ')).join(' . ');
  return STOP_KINDS.filter((kind) => WORDS[kind].test(told) && !WORDS[kind].test(denied));
}

/** Lower case, accents apart from their letters; "drinking_water" and "drinkingWater" as two words. */
function plain(text: string): string {
  return text
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .normalize('NFD')
    .toLowerCase()
    .replace(/[_\-/]+/g, ' ');
}
