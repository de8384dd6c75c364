import { contactsKeptOn } from '../contacts/sealed.js';
import type { Services } from '../services.js';
import { inForce } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import type { Faults, Typed } from '../web/forms.js';
import { isolated, names } from '../web/isolated.js';
import type { PageModel } from '../web/page.js';
import { signUpForm } from './form-page.js';
import { MOST_IN_PARTY } from './members.js';
import { openingsFor } from './openings.js';
import { type PartyMember, partiesWaiting, partyOf } from './party.js';
import type { Change } from './party-buttons.js';
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
  alsoRemoved?: string[] | undefined;
  /** The visitor has just saved a change. */
  saved?: boolean;
  /** An absent adult was just asked again. */
  asked?: boolean;
  /** The visitor has just said that a mail reached them. */
  thanked?: boolean;
  /** The visitor came to sign or change: the form is open. */
  opened?: boolean;
  /** What proves that the visitor came by a mailed link; empty where they did not. */
  mail: string;
}

/** The most people a party may become. One that waits can't outgrow the walk; one with places is told how many more are left. */
export function placesFor({ signUp, walk }: OwnSignUp): number {
  return signUp.state === 'waiting' ? Math.max(walk.capacity, signUp.partySize) : MOST_IN_PARTY;
}

/** What the private page shows. */
export function privatePage(
  services: Services,
  own: OwnSignUp,
  { typed, faults, change, alsoRemoved, saved, asked, thanked, opened, mail }: Shown,
): PageModel {
  const { q } = services.db;
  const { signUp, walk, mayChange } = own;
  const refused = Object.keys(faults).length > 0;
  const leader = leadersOf(q, walk.id)[0];
  const party = partyOf(q, signUp, oweContext(services));
  const signed = inForce(q, oweContext(services), [signUp.email, ...party.flatMap((member) => member.email ?? [])]);
  const kept = contactsKeptOn(q, walk.id);
  return {
    ...frame(services, own, party),
    title: walkTitle(walk, services.settings().units),
    errorTitle: refused,
    walk: { id: walk.id, theme: walk.theme, bring: walk.bring },
    state: { confirmed: signUp.state === 'confirmed', waiting: signUp.state === 'waiting', withdrawn: signUp.state === 'withdrawn' },
    ahead: signUp.state === 'waiting' ? aheadText(partiesWaiting(q, walk.id, signUp)) : null,
    cancelled: walk.state === 'cancelled' ? walk.cancelReason : null,
    // Only those who have a place put the walk in their calendar.
    noCalendar: signUp.state !== 'confirmed' || walk.state === 'cancelled',
    mayChange,
    over: walk.gatherAt <= services.now(),
    saved: saved === true && mayChange,
    asked: asked === true && mayChange,
    thanked: thanked === true && signUp.provedAt !== null,
    email: signUp.email,
    leader: leader ? { name: leader.name, phone: leader.phone } : null,
    ...signUpForm(typed, faults, {
      most: Math.min(MOST_IN_PARTY, placesFor(own)),
      minors: walk.minors,
      booker: signUp.email,
      signed: (signing) => signed(signing, signUp.id),
      without: new Set(party.flatMap((member) => (kept.has(member.id) ? [] : [member.id]))),
      change,
      alsoRemoved,
    }),
    open: refused || change !== undefined || opened === true,
    unsaved: change !== undefined,
    people: party.map((member) => personIn(member, kept.has(member.id), own)),
    unsigned: mayChange && party.some((member) => !member.waiver),
    ...stillToSign(party),
    mail,
    unproved: mail !== '' && signUp.provedAt === null,
    // What happened to an adult with an address of their own, and to the minors they answer for, is not the booker's to read.
    openings: openingsFor(
      services,
      walk,
      party.filter((member) => member.signing?.ownAddress === undefined),
    ),
    ...partyTexts(services),
  };
}

/** What the page that asks before withdrawing shows. */
export function withdrawPage(services: Services, own: OwnSignUp): PageModel {
  return {
    ...frame(services, own, partyOf(services.db.q, own.signUp, oweContext(services))),
    title: `Withdraw from ${walkTitle(own.walk, services.settings().units)}?`,
    narrow: true,
    noCalendar: true,
    waiting: own.signUp.state === 'waiting',
  };
}

function frame(services: Services, { walk, token }: OwnSignUp, party: PartyMember[]) {
  return {
    noindex: true,
    action: `/sign-ups/${token}`,
    meet: meetFrame(walk, services.settings()),
    party: names(party.map((member) => member.name)),
    alone: party.length === 1,
  };
}

/** Whose signature is missing: those who sign here, and those who sign by a link of their own, with the minors they sign for. */
function stillToSign(party: PartyMember[]) {
  const unsigned = party.filter((member) => !member.waiver);
  const byMail = unsigned.filter((member) => member.signing?.ownAddress !== undefined);
  return {
    toSignHere: names(unsigned.filter((member) => !byMail.includes(member)).map((member) => member.name)),
    toSignByMail: names(byMail.map((member) => (member.guardianName === null ? member.name : `${member.guardianName} for ${member.name}`))),
  };
}

/** One of the party as its page lists them: what is still missing, and for an absent adult a way to ask again. */
function personIn(member: PartyMember, hasContact: boolean, { mayChange }: OwnSignUp) {
  return {
    id: member.id,
    name: isolated(member.name),
    isMinor: member.isMinor,
    guardianName: member.guardianName === null ? null : isolated(member.guardianName),
    // Booked as under 18, and 18 by the day the walk is now on.
    nowAdult: member.minor && !member.isMinor,
    noGuardian: member.isMinor && member.signing === null,
    signed: member.waiver,
    absentEmail: member.waiver ? null : member.email,
    mayAskAgain: mayChange && !member.waiver && member.email !== null,
    noContact: !hasContact,
  };
}
