const RIGHT_TO_LEFT = /\p{Script=Arabic}|\p{Script=Hebrew}|\p{Script=Syriac}|\p{Script=Thaana}|\p{Script=Nko}/u;
const [ISOLATE, END] = ['\u2068', '\u2069'];

/** A name that is written from right to left, set apart so that it does not pull the words beside it along (Unicode UAX #9: FSI, PDI); any other as it is. */
export function isolated(name: string): string {
  return RIGHT_TO_LEFT.test(name) ? ISOLATE + name + END : name;
}

/** Names in a row: "Ana Ferreira, Ben Birch". */
export function names(all: string[]): string {
  return all.map(isolated).join(', ');
}
