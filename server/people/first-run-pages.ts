import type { FastifyReply, FastifyRequest } from 'fastify';
import { addArea, areaBySlug } from '../areas/store.js';
import { addMonths, monthOf } from '../calc/month.js';
import { beginTerm } from '../commitment/terms.js';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { leaders, people, pledges } from '../db/schema/index.js';
import { GRACE_MS } from '../joining/renewal.js';
import type { Services } from '../services.js';
import { LOCALES } from '../settings/rules.js';
import { saveSettings } from '../settings/store.js';
import { layDownSamples } from '../texts/store.js';
import type { Faults, Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { sessionCookie, sessionCookieOptions } from './cookies.js';
import { tryFirstRunCode } from './first-run.js';
import { FIRST_RUN_DEFAULTS, type FirstRun, type FirstRunValues, firstRunValues, readFirstRun } from './first-run-form.js';
import { refused } from './refusal.js';
import { startSession } from './sessions.js';

/** The page that makes the group, shown once in its life. */
export function firstRunPage() {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => form(request, reply, FIRST_RUN_DEFAULTS, {});
}

/** Makes the group, its first coordinator (a leader, too) and its first area, and signs the coordinator in. */
export function makeGroup(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const values = firstRunValues((request.body ?? {}) as Typed);
    if (!tryFirstRunCode(services, values.code)) return form(request, reply.code(422), values, { code: WRONG_CODE });
    const checked = readFirstRun(values);
    if ('faults' in checked) return form(request, reply.code(422), values, checked.faults);
    const token = services.db.write((tx) => layDown(tx, services, checked.first));
    reply.setCookie(sessionCookie(services.config), token, sessionCookieOptions(services.config));
    return reply.redirect('/coordinate', 303);
  };
}

const WRONG_CODE = "That is not the code. It is in the service's log, in the line that names this page.";

/** All of it in one transaction; gives the coordinator's session token. */
function layDown(tx: Tx, services: Services, first: FirstRun): string {
  const now = services.now();
  saveSettings(tx, first.group);
  layDownSamples(tx, now);
  const area = areaBySlug(tx, addArea(tx, first.area, now));
  if (!area) throw new Error('the area just added is not there');
  const person = tx
    .insert(people)
    .values({ ...first.person, coordinator: true, createdAt: now })
    .returning()
    .get();
  // The promise begins with the next month, as every leader's does: nobody is short on the day they start.
  const month = addMonths(monthOf(now, area.zone), 1);
  const leads = { state: 'approved', sinceMonth: month, createdAt: now, agreementDueAt: now + GRACE_MS } as const;
  tx.insert(leaders)
    .values({ personId: person.id, areaId: area.id, ...leads })
    .run();
  beginTerm(tx, person.id, month, now);
  tx.insert(pledges).values({ personId: person.id, fromMonth: month, walks: 1 }).run();
  const detail = { groupName: first.group.groupName, area: area.slug };
  writeDown(tx, { at: now, personId: person.id, action: 'group made', subject: 'group', detail });
  return startSession(tx, services, person.id);
}

function form(request: FastifyRequest, reply: FastifyReply, values: Partial<FirstRunValues>, faults: Faults): FastifyReply {
  reply.header('Cache-Control', 'no-store');
  const units = [
    { value: 'mi', label: 'Miles and feet', checked: values.units !== 'km' },
    { value: 'km', label: 'Kilometres and metres', checked: values.units === 'km' },
  ];
  const clocks = [
    { value: '12', label: '12 hours: 8:45 AM', checked: values.clock !== '24' },
    { value: '24', label: '24 hours: 08:45', checked: values.clock === '24' },
  ];
  return page(request, reply, 'people/first-run', {
    title: 'Set up your group',
    narrow: true,
    noindex: true,
    ...refused(faults),
    values,
    units,
    clocks,
    locales: LOCALES.map(([value, label]) => ({ value, label, selected: value === values.locale })),
    faults,
  });
}
