import type { Commitment } from './rules.js';

/** A month's state as a word, with the class that gives it its shape. */
export function commitmentWords(month: Commitment & { kept: number; coming: number; pledge: number | null }) {
  return { word: word(month), mark: month.state.replace(' ', '-'), walks: month.kept + month.coming, pledge: month.pledge };
}

function word(month: Commitment): string {
  if (month.state === 'short') return `short by ${month.short}`;
  return month.state === 'none' ? 'not yet a leader' : month.state;
}
