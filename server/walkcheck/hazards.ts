import type { Checked, Found } from './items.js';

/** What whoever led a walk on this route found in the way, until somebody says that it is gone. */
export function hazards({ around }: Checked): Found[] {
  return (around.hazards ?? []).map(({ what, place, noted, until, href }) => ({
    key: 'hazard',
    kind: 'think',
    title: `On this route: ${what} (${place})`,
    why: [`${noted}.`, until].filter((part) => part !== '').join(' '),
    mends: 'See whether it is still there. If not, say that it is gone',
    href: 'seenOn',
    page: href,
  }));
}
