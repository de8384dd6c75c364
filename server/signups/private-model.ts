import type { Services } from '../services.js';
import { signedBy } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import type { Faults, Typed } from '../web/forms.js';
import type { PageModel } from '../web/page.js';
import { type Change, signUpForm } from './form-page.js';
import { MOST_IN_PARTY } from './members.js';
import { partiesWaiting, partyOf } from './party.js';
import { aheadText } from './places.js';
import { partyTexts } from './sign-up-model.js';
import type { SignUpRow } from './store.js';

/** A sign-up as its private address finds it. */
export interface OwnSignUp {
  signUp: SignUpRow;
  walk: WalkRow;
  token: string;
  mayChange: boolean;
}

interface Shown {
  typed: Typed;
  faults: Faults;
  change?: Change | undefined;
  /** The visitor has just saved a change. */
  saved?: boolean;
}

/** The most people a party may become. One that waits can't outgrow the walk; one with places is told how many more are left. */
export function placesFor({ signUp, walk }: OwnSignUp): number {
  return signUp.state === 'waiting' ? Math.max(walk.capacity, signUp.partySize) : MOST_IN_PARTY;
}

/** What the private page shows. */
export function privatePage(services: Services, own: OwnSignUp, { typed, faults, change, saved }: Shown): PageModel {
  const { q } = services.db;
  const { signUp, walk, mayChange } = own;
  const refused = Object.keys(faults).length > 0;
  const leader = leadersOf(q, walk.id)[0];
  const signed = signedBy(q, [signUp]);
  return {
    ...frame(services, own),
    title: walkTitle(walk, services.settings().units),
    errorTitle: refused,
    walk: { id: walk.id, theme: walk.theme, bring: walk.bring },
    state: { confirmed: signUp.state === 'confirmed', waiting: signUp.state === 'waiting', withdrawn: signUp.state === 'withdrawn' },
    ahead: signUp.state === 'waiting' ? aheadText(partiesWaiting(q, walk.id, signUp)) : null,
    cancelled: walk.state === 'cancelled' ? walk.cancelReason : null,
    // Only those who have a place put the walk in their calendar.
    noCalendar: signUp.state !== 'confirmed' || walk.state === 'cancelled',
    mayChange,
    saved: saved === true && mayChange,
    email: signUp.email,
    leader: leader ? { name: leader.name, phone: leader.phone } : null,
    ...signUpForm(typed, faults, {
      most: Math.min(MOST_IN_PARTY, placesFor(own)),
      signed: (name) => signed(signUp.email, name),
      change,
    }),
    open: refused || change !== undefined,
    unsaved: change !== undefined,
    ...partyTexts(services),
  };
}

/** What the page that asks before withdrawing shows. */
export function withdrawPage(services: Services, own: OwnSignUp): PageModel {
  return {
    ...frame(services, own),
    title: `Withdraw from ${walkTitle(own.walk, services.settings().units)}?`,
    narrow: true,
    noCalendar: true,
    waiting: own.signUp.state === 'waiting',
  };
}

function frame(services: Services, { signUp, walk, token }: OwnSignUp) {
  const party = partyOf(services.db.q, signUp);
  return {
    noindex: true,
    action: `/sign-ups/${token}`,
    meet: meetFrame(walk, services.settings()),
    party: party.map((member) => member.name).join(', '),
    alone: party.length === 1,
  };
}
