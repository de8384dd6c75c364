import { MOST_AHEAD_MS } from '../walks/form-time.js';
import type { Checked, Found } from './items.js';
import { wholeMinute } from './words.js';

/** A date that has passed, or that nobody plans for yet: most likely a slip in the year. */
export function date({ facts, around, words }: Checked): Found[] {
  if (around.when === 'posted') return [];
  if (facts.gatherAt <= around.now)
    return [
      {
        key: 'date',
        kind: 'mend',
        title: `${words.day(facts.date)}, ${words.clock(facts.gatherAt)}, has passed`,
        why: 'Nobody can come to a walk in the past.',
        mends: 'Check the date and the time.',
        href: 'date',
      },
    ];
  if (facts.gatherAt > around.now + MOST_AHEAD_MS)
    return [
      {
        key: 'date',
        kind: 'mend',
        title: `${words.day(facts.date)} is more than a year ahead`,
        why: 'Nobody plans that far, so the year may be a slip.',
        mends: 'Check the year.',
        href: 'date',
      },
    ];
  return [];
}

/** People need a while between arriving and setting off. */
export function gathering({ facts, words }: Checked): Found[] {
  const early = wholeMinute(facts.setOffAt) - wholeMinute(facts.gatherAt);
  if (early > 0) return [];
  const late = early < 0;
  return [
    {
      key: 'gathering',
      kind: late ? 'mend' : 'think',
      title: late
        ? `The group sets off at ${words.clock(facts.setOffAt)}, before people gather at ${words.clock(facts.gatherAt)}`
        : `Gathering and setting off are both at ${words.clock(facts.gatherAt)}`,
      why: late ? 'Whoever comes when asked finds nobody there.' : 'Nobody has time to arrive and be briefed.',
      mends: 'Gather 15 minutes before you set off, or earlier.',
      href: 'gather',
    },
  ];
}
