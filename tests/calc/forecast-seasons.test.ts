import { expect, it } from 'vitest';
import { betaDraw, type Chance, chances } from '../../server/calc/draws.js';
import { type ForecastGap, forecast } from '../../server/calc/forecast.js';
import { gapsFrom, leader } from './forecast-around.js';

const SEASONS = 300;
const MONTHS = ['2027-03', '2027-04', '2027-05'];
const AREAS = [1, 2, 3, 4];
/** The range is said to hold in four cases of five; of 300, two standard errors are 0.046. */
const NOMINAL = 0.8;
const TOLERANCE = 0.046;

interface Group {
  leaders: number;
  monthsBehind: number;
  gapsPerAreaAndMonth: number;
  /** A leader's true share of promises kept. */
  share: (chance: Chance) => number;
}

/** A group with its history and its promises, and what then comes of them, by the true shares; what is filled is counted as if just the walks led had been promised. */
function season({ leaders: count, monthsBehind, gapsPerAreaAndMonth, share }: Group, seed: number) {
  const chance = chances(seed);
  const times = (walks: number, own: number) => Array.from({ length: walks }, () => chance() < own).filter(Boolean).length;
  const truth = Array.from({ length: count }, (_, id) => {
    const [own, pledge, home] = [share(chance), 1 + Math.floor(chance() * 2), 1 + (id % AREAS.length)];
    const promised = pledge * Math.floor(chance() * (monthsBehind + 1));
    const known = leader({
      id,
      homeAreaId: home,
      areaIds: [1 + (home % AREAS.length)],
      promised,
      kept: times(promised, own),
      left: each(() => pledge),
    });
    return { known, after: { ...known, left: each(() => times(pledge, own)) } };
  });
  const gaps = AREAS.flatMap((area) => MONTHS.flatMap((month) => gapsFrom(month, gapsPerAreaAndMonth, area)));
  return { leaders: truth.map(({ known }) => known), led: truth.map(({ after }) => after), gaps };
}

function each(walks: () => number): Record<string, number> {
  return Object.fromEntries(MONTHS.map((month) => [month, walks()]));
}

const name = ({ areaId, month }: ForecastGap) => `${areaId} ${month}`;

/** In how many seasons the outcome lies in the range: of all gaps together, and of each area's month. */
function held(group: Group) {
  const share = { all: 0, cells: 0 };
  for (let seed = 1; seed <= SEASONS; seed += 1) {
    const { leaders, led, gaps } = season(group, seed);
    const [said, came] = [forecast(leaders, gaps), forecast(led, gaps)];
    const isHeld = (by: (gap: ForecastGap) => string) => {
      const outcome = came.by(by);
      return [...said.by(by)].map(([key, { low, high }]) => {
        const { all } = outcome.get(key) ?? { all: 0 };
        return all >= low && all <= high;
      });
    };
    const cells = isHeld(name);
    share.all += Number(isHeld(() => 'all')[0]) / SEASONS;
    share.cells += cells.filter(Boolean).length / cells.length / SEASONS;
  }
  return share;
}

it.each<[string, Group]>([
  ['of leaders who differ', { leaders: 30, monthsBehind: 12, gapsPerAreaAndMonth: 28, share: (chance) => betaDraw(6, 2, chance) }],
  ['of leaders who are all alike', { leaders: 30, monthsBehind: 12, gapsPerAreaAndMonth: 28, share: () => 0.7 }],
  ['with no history to speak of', { leaders: 30, monthsBehind: 1, gapsPerAreaAndMonth: 28, share: (chance) => betaDraw(6, 2, chance) }],
  ['with fewer gaps than promises', { leaders: 30, monthsBehind: 12, gapsPerAreaAndMonth: 8, share: (chance) => betaDraw(6, 2, chance) }],
])('the range holds in four seasons of five, of a group %s', (_, group) => {
  const share = held(group);
  // Whole numbers: the least range that holds in 80 % of cases holds in some more, the smaller the numbers the more.
  expect(share.all).toBeGreaterThan(NOMINAL - TOLERANCE);
  expect(share.cells).toBeGreaterThan(NOMINAL - TOLERANCE);
});
