import type { RollState } from './contract.js';
import { clockAt, spanWords, stopName } from './roll-words.js';
import { groupTimer } from './timer.js';

/** The group's timer in words: since when it is out, where it goes next and when it should be there; late said in a word. Pure. */
export function timerModel(roll: RollState) {
  const { setOffAt, outMs, next, lateMs } = groupTimer(roll, roll.entries, roll.now);
  const clock = (at: number) => clockAt(at, roll).clock;
  return {
    gathers: setOffAt === null ? { gather: clock(roll.gatherAt), setOff: clock(roll.setOffAt) } : null,
    out: setOffAt === null ? null : { since: clock(setOffAt), span: spanWords(outMs) },
    next: next && {
      place: next.place === 'finish' ? 'the finish' : `stop ${next.place}, ${stopName(next.place, roll)}`,
      fastest: clock(next.fastest),
      slowest: clock(next.slowest),
    },
    late: lateMs >= 60_000 ? spanWords(lateMs) : null,
    asOf: clock(roll.now),
  };
}
