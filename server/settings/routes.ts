import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { writeDown } from '../db/audit.js';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { readSettings, SETTINGS_LABELS, typedSettings } from './form.js';
import { LOCALES } from './rules.js';
import { seasonKept } from './season.js';
import { saveSettings } from './store.js';

/** What a group calls itself, and the figures it goes by. */
export function settingsRoutes(app: FastifyInstance, services: Services): void {
  function form(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const chosen = (name: string, value: string) => line(typed, name) === value;
    return page(request, refused ? reply.code(422) : reply, 'coordinate/settings', {
      title: 'Settings of the group',
      errorTitle: refused,
      narrow: true,
      // Only a form from before the event moved to the season's page sends it; what is wrong in it is mended here.
      hasEvent: refused && typed.eventDay !== undefined,
      saved: line(request.query as Typed, 'saved') !== '',
      form: {
        ...typedSettings(services.settings()),
        ...Object.fromEntries(Object.keys(typed).map((field) => [field, line(typed, field)])),
      },
      units: [
        { value: 'mi', label: 'miles and feet', checked: !chosen('units', 'km') },
        { value: 'km', label: 'kilometres and metres', checked: chosen('units', 'km') },
      ],
      clocks: [
        { value: '12', label: '8:45 AM', checked: !chosen('clock', '24') },
        { value: '24', label: '08:45', checked: chosen('clock', '24') },
      ],
      locales: LOCALES.map(([value, label]) => ({ value, label, selected: chosen('locale', value) })),
      weekends: [
        { value: 'yes', label: 'One is enough for anybody', selected: !chosen('oneAWeekend', 'no') },
        { value: 'no', label: 'A Saturday and a Sunday are fine', selected: chosen('oneAWeekend', 'no') },
      ],
      lengthUnit: services.settings().units === 'mi' ? 'miles' : 'km',
      paceUnit: services.settings().units === 'mi' ? 'mile' : 'kilometre',
      faults,
      errors: summary(faults, (field) => SETTINGS_LABELS[field] ?? ''),
    });
  }

  function save(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const read = readSettings(typed, services.settings());
    if ('faults' in read) return form(request, reply, typed, read.faults);
    services.db.write((tx) => {
      saveSettings(tx, { ...read.settings, ...seasonKept(services.settings(), read.settings, services.now()) });
      const personId = request.visitor.person?.id ?? null;
      writeDown(tx, { at: services.now(), personId, action: 'changed the settings', subject: 'settings' });
    });
    return reply.redirect('/coordinate/settings?saved=1', 303);
  }

  app.get('/coordinate/settings', may('coordinator'), (request, reply) => form(request, reply, typedSettings(services.settings()), {}));
  app.post('/coordinate/settings', may('coordinator'), save);
}
