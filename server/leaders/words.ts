import type { Commitment } from './rules.js';

/** A month's state as a word, with the class that gives it its shape. */
export function commitmentWords(month: Commitment & { kept: number; coming: number; pledge: number | null }) {
  return { word: word(month), mark: mark(month), walks: month.kept + month.coming, pledge: month.pledge };
}

function word(month: Commitment): string {
  if (month.state === 'short') return `short by ${month.short}`;
  return month.state === 'none' ? 'no promise yet' : month.state;
}

/** Nothing promised is no fault: its class is none of those that the board paints. */
function mark(month: Commitment): string {
  return month.state === 'none' ? 'unpledged' : month.state.replace(' ', '-');
}
