import type { Tx } from '../db/open.js';
import { freshForecast } from '../weather/model.js';
import type { OweContext, ToldWalk } from './compose.js';
import type { WalkContent } from './content.js';
import { dayWords } from './day-words.js';

/** What a reminder says beside the walk's own facts: which day it is, and the forecast where there is news of it. */
export function reminderPart(tx: Tx, { now, settings }: OweContext, { walk, facts }: ToldWalk): Pick<WalkContent, 'day' | 'weather'> {
  const weather = freshForecast(tx, walk.id, facts.date, now);
  return { day: dayWords(now, facts, settings), ...(weather ? { weather } : {}) };
}
