import { addMonths } from '../calc/month.js';
import type { LeaderMonth } from './rules.js';

/** A month's state as a word, with the class that gives it its shape. Pure. */
export function commitmentWords(month: LeaderMonth) {
  return { word: word(month), mark: mark(month), walks: month.kept + month.coming, pledge: month.pledge };
}

/**
 * The same for the leader, where only what can still be done stands out: a month short that is behind is said plainly, and of one ahead
 * there is only something to post. Pure. @param now the month it is
 */
export function quietWords(month: LeaderMonth, now: string) {
  const words = boardWords(month, now);
  if (month.state !== 'short' || month.month === now) return words;
  return month.month < now ? { ...words, mark: 'short-plain' } : { ...words, word: toPost(month) };
}

/** The same for the coordinator: months further ahead than the coming one, or with which a promise begins, are not short yet. Pure. @param now the month it is */
export function boardWords(month: LeaderMonth, now: string) {
  const words = commitmentWords(month);
  const isFar = month.month > addMonths(now, 1) || (month.isFirst && month.month > now);
  return month.state === 'short' && isFar ? { ...words, word: toPost(month), mark: 'short-plain' } : words;
}

function toPost({ short }: LeaderMonth): string {
  return `${short} to post`;
}

function word(month: LeaderMonth): string {
  if (month.state === 'short') return `short by ${month.short}`;
  if (month.state !== 'none') return month.state;
  return month.isOver ? 'stood down' : 'no promise yet';
}

/** Nothing promised is no fault: its class is none of those that the board paints. */
function mark(month: LeaderMonth): string {
  return month.state === 'none' ? 'unpledged' : month.state.replace(' ', '-');
}

/** "1 walk", "3 walks". */
export function walkCount(count: number): string {
  return count === 1 ? '1 walk' : `${count} walks`;
}
