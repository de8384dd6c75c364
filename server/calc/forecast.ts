import { type Filled, fill, layOut, ledIn } from './forecast-cases.js';
import { type ForecastGap, type ForecastLeader, turnsOf } from './forecast-choices.js';

export type { ForecastGap, ForecastLeader } from './forecast-choices.js';

/** How many gaps are filled. */
export interface Outlook {
  /** If every leader leads what they promised. */
  all: number;
  /** Between these in four cases out of five: fewer are filled in a tenth of the cases at most, and more in another. */
  low: number;
  high: number;
}

export interface Forecast {
  /** Of gaps that share a name, together. Their ranges are no sums: it is unlikely that all go well, or all badly. */
  by: (name: (gap: ForecastGap) => string) => Map<string, Outlook>;
}

const TAIL = 0.1;
const CASES = 200;

/**
 * What becomes of the gaps if leaders keep their promises as they have so far. Pure, and the same each time.
 *
 * Each walk left of a promise is led or not, with the leader's share of promises kept. That share is not known, only what was promised and kept: in each of
 * 200 cases one is drawn for the group, from Beta(1 + kept, 1 + not kept), and then for each leader one from Beta(8 × the group's + kept, 8 × (1 − the group's)
 * + not kept), so that somebody with few months is taken for somebody of the group. Walks that are led go to gaps in the order of `turnsOf`. A longer promise
 * never makes a figure less: what was filled stays filled, whoever fills it then.
 * @param gaps the most urgent first
 */
export function forecast(leaders: readonly ForecastLeader[], gaps: readonly ForecastGap[]): Forecast {
  const laid = layOut(turnsOf(leaders, gaps), gaps.length);
  const group = leaders.reduce((sum, { promised, kept }) => ({ promised: sum.promised + promised, kept: sum.kept + kept }), {
    promised: 0,
    kept: 0,
  });
  const all = fill(laid, (turn) => laid.walks[turn] ?? 0);
  const cases = Array.from({ length: CASES }, (_, run) => fill(laid, ledIn(run, laid, group)));
  return {
    by: (name) => {
      const places = new Map<string, number[]>();
      for (const [place, gap] of gaps.entries()) {
        const key = name(gap);
        const others = places.get(key);
        if (others) others.push(place);
        else places.set(key, [place]);
      }
      return new Map([...places].map(([key, own]) => [key, outlook(own, all, cases)]));
    },
  };
}

/** What the cases come to for the gaps at some places. */
function outlook(places: readonly number[], all: Filled, cases: readonly Filled[]): Outlook {
  const count = (one: Filled) => {
    let sum = 0;
    for (const place of places) sum += one[place] ?? 0;
    return sum;
  };
  const counts = Uint16Array.from(cases, count).sort();
  return { all: count(all), low: counts[Math.floor(CASES * TAIL)] ?? 0, high: counts[Math.ceil(CASES * (1 - TAIL)) - 1] ?? 0 };
}
