import { monthsFrom } from '../../server/calc/month.js';
import { askLetters, asks } from '../../server/db/schema/index.js';
import { askToken } from '../../server/proposals/link.js';
import { seasonFor } from '../../server/proposals/season.js';
import { sendAsks } from '../../server/proposals/send.js';
import { monthNow } from '../../server/settings/home.js';
import { oweContext } from '../../server/walks/save.js';
import type { TestSite } from './app.js';
import type { Cast } from './cast.js';

/** The coordinator asks the other leader for the first walk that Lantern Hills lacks from next month on; gives the secret part of the address that answers, and what was asked. */
export function askFor(site: TestSite, cast: Cast): { token: string; id: number; need: string; date: string } {
  const { services, db } = site;
  const filter = { months: monthsFrom(monthNow(services), 3), area: 'lantern-hills', isUsual: true, faults: {} };
  db.write((tx) => {
    const season = seasonFor(tx, services, filter, new Date(services.now()).toISOString().slice(0, 10));
    const gap = season.gaps.find(({ need }) => need.month > (filter.months[0] ?? ''));
    const send = gap ? [{ need: gap.need.id, leaderId: cast.ids['other leader'], date: gap.date }] : [];
    const by = { id: cast.ids.coordinator, name: 'Cora Danner' };
    sendAsks(tx, { ...oweContext(services), sealer: services.sealer }, season, { send, by, note: 'It is a fine loop.' });
  });
  const letter = db.q.select().from(askLetters).all().at(-1);
  const ask = db.q.select().from(asks).all().at(-1);
  if (!letter || !ask) throw new Error('nothing was asked');
  return { token: askToken(services.sealer, { id: letter.id, madeAt: letter.createdAt }), id: ask.id, need: ask.need, date: ask.date };
}
