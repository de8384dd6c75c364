import { expect, it } from 'vitest';
import { betaDraw, type Chance, chances } from '../../server/calc/draws.js';
import { type ForecastGap, forecast } from '../../server/calc/forecast.js';
import { fill, layOut } from '../../server/calc/forecast-cases.js';
import { turnsOf } from '../../server/calc/forecast-choices.js';
import { gapsFrom, leader } from './forecast-around.js';

const SEASONS = 300;
const MONTHS = ['2027-03', '2027-04'];
const AREAS = [1, 2, 3];
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
    const laid = layOut(turnsOf(led, gaps), gaps.length);
    const came = fill(laid, (turn) => laid.walks[turn] ?? 0);
    const said = forecast(leaders, gaps);
    const isHeld = (by: (gap: ForecastGap) => string) => {
      const outcome = new Map<string, number>();
      for (const [place, gap] of gaps.entries()) outcome.set(by(gap), (outcome.get(by(gap)) ?? 0) + (came[place] ?? 0));
      return [...said.by(by)].map(([key, { low, high }]) => (outcome.get(key) ?? 0) >= low && (outcome.get(key) ?? 0) <= high);
    };
    const cells = isHeld(name);
    share.all += Number(isHeld(() => 'all')[0]) / SEASONS;
    share.cells += cells.filter(Boolean).length / cells.length / SEASONS;
  }
  return share;
}

it.each<[string, Group]>([
  ['of leaders who differ', { leaders: 15, monthsBehind: 12, gapsPerAreaAndMonth: 14, share: (chance) => betaDraw(6, 2, chance) }],
  ['of leaders who are all alike', { leaders: 15, monthsBehind: 12, gapsPerAreaAndMonth: 14, share: () => 0.7 }],
  ['with no history to speak of', { leaders: 15, monthsBehind: 1, gapsPerAreaAndMonth: 14, share: (chance) => betaDraw(6, 2, chance) }],
  ['with fewer gaps than promises', { leaders: 15, monthsBehind: 12, gapsPerAreaAndMonth: 5, share: (chance) => betaDraw(6, 2, chance) }],
])('the range holds in four seasons of five, of a group %s', (_, group) => {
  const share = held(group);
  // Where gaps run out, most outcomes are the same, and the range holds them all.
  if (group.gapsPerAreaAndMonth > 5) expect(share.all).toBeLessThan(NOMINAL + 2 * TOLERANCE);
  // Whole numbers: the least range that holds in 80 % of cases holds in some more, the smaller the numbers the more.
  expect(share.all).toBeGreaterThan(NOMINAL - TOLERANCE);
  expect(share.cells).toBeGreaterThan(NOMINAL - TOLERANCE);
});
