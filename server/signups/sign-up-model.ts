import { titleLength } from '../calc/measure.js';
import { keptContacts } from '../contacts/kept.js';
import { readEmail } from '../people/email.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import { toHtml } from '../texts/markdown.js';
import { nameKey } from '../waivers/rules.js';
import { inForce } from '../waivers/store.js';
import { CONSENT, INTENT } from '../waivers/words.js';
import type { WalkRow } from '../walks/ledby.js';
import { ownSignUp } from '../walks/own-sign-up.js';
import { oweContext } from '../walks/save.js';
import { placesTaken } from '../walks/store.js';
import { meetFrame } from '../walks/walk-page.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import type { PageModel } from '../web/page.js';
import type { Person } from '../web/visitor.js';
import { when } from '../web/when.js';
import { signUpForm } from './form-page.js';
import { MOST_IN_PARTY } from './members.js';
import { partiesWaiting } from './party.js';
import type { Change } from './party-buttons.js';
import { aheadText } from './places.js';
import { textsInForce } from './shown-texts.js';

interface Shown {
  typed: Typed;
  faults: Faults;
  change?: Change | undefined;
  alsoRemoved?: string[];
  person: Person | null;
}

/** What the sign-up page shows. */
export function signUpPage(services: Services, walk: WalkRow, { typed, faults, change, alsoRemoved, person }: Shown): PageModel {
  const { q } = services.db;
  const settings = services.settings();
  const left = Math.max(0, walk.capacity - placesTaken(q, walk.id).confirmed);
  return {
    title: `Sign up: ${shortTitle(walk, settings)}`,
    errorTitle: Object.keys(faults).length > 0,
    narrow: true,
    noindex: true,
    action: `/walks/${walk.id}/sign-up`,
    walk: { href: `/walks/${walk.id}`, route: `${walk.routeName}, ${walk.locality}` },
    meet: meetFrame(walk, settings),
    left: left === 0 ? null : `${left} ${left === 1 ? 'place' : 'places'} left.`,
    ahead: aheadText(partiesWaiting(q, walk.id)),
    /** The visitor's own sign-up for this walk, where there is one. */
    own: ownSignUp(services, walk.id, person?.email)?.href ?? null,
    mayKeep: person !== null,
    keptBefore: person !== null && keptContacts(services, person.id).length > 0,
    signInFirst: person === null ? `/sign-in?next=${encodeURIComponent(`/walks/${walk.id}/sign-up`)}` : null,
    ...signUpForm(typed, faults, {
      most: Math.min(MOST_IN_PARTY, walk.capacity),
      minors: walk.minors,
      change,
      alsoRemoved,
      keptHint: hints(services, person),
      ...ownSigned(services, typed, person),
    }),
    ...partyTexts(services),
  };
}

/** A visitor who is signed in with the address may see whose waiver is in force; nobody else is told. */
function ownSigned(services: Services, typed: Typed, person: Person | null) {
  if (person === null || readEmail(line(typed, 'email')) !== person.email) return {};
  return { signed: inForce(services.db.q, oweContext(services), [person.email]) };
}

/** What a visitor who is signed in has had kept, by name, in words that tell nobody else enough to phone. */
function hints(services: Services, person: Person | null): (name: string) => string | null {
  const kept = person === null ? [] : keptContacts(services, person.id);
  return (name) => kept.find((one) => nameKey(one.forName) === nameKey(name))?.hint ?? null;
}

/** "8-mile walk, Sat, Nov 28, 8:45 AM EST" */
function shortTitle(walk: WalkRow, settings: GroupSettings): string {
  const gather = when(walk.gatherAt, walk.zone, settings);
  const unit = settings.units === 'mi' ? 'mile' : 'km';
  return `${titleLength(walk.distanceMetres, settings.units)}-${unit} walk, ${gather.date}, ${gather.clock} ${gather.zone}`;
}

/** The rules and the waiver in force, as the forms show them. */
export function partyTexts(services: Services) {
  const { rules, waiver } = textsInForce(services.db.q);
  return {
    rules: { html: toHtml(rules.body), version: rules.version },
    waiver: { html: toHtml(waiver.body), version: waiver.version, agree: `${INTENT} ${CONSENT}` },
  };
}
