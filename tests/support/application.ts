import { ask } from '../../server/joining/decide.js';
import { keepApplication } from '../../server/joining/store.js';
import { oweContext } from '../../server/walks/save.js';
import type { TestSite } from './app.js';
import type { Cast } from './cast.js';

/** The walker's open application, about which a coordinator has asked something; gives its number. */
export function layApplication({ db, services }: TestSite, cast: Cast): number {
  return db.write((tx) => {
    const form = { name: 'Wendel Ames', phone: '+12025550147', areaId: 1, why: 'Gladly.', days: [6], longestMetres: 9000, otherAreas: [2] };
    const { id } = keepApplication(tx, cast.ids.walker, form, services.now());
    ask(tx, oweContext(services), id, 'Since when do you walk?');
    return id;
  });
}
