import type { JoiningContent } from '../notices/content.js';

/** What a mail about joining says, before it is owed. */
export type Letter = JoiningContent;

const REVIEW = (id: number) => ({ href: `/coordinate/applications/${id}`, label: 'See the application' });
const STEPS = { href: '/lead/join', label: 'See your steps' };

interface Applicant {
  id: number;
  personId: number;
  name: string;
  areaName: string;
}

/** To a coordinator: someone has applied. Pure. */
export function appliedLetter({ id, personId, name, areaName }: Applicant, why: string): Letter {
  return {
    about: personId,
    subject: `${name} would like to lead walks`,
    heading: `${name} would like to lead walks in ${areaName}`,
    lines: ['You hear again when they have taken every step. You can ask them something, approve or decline at any time.'],
    quote: why,
    link: REVIEW(id),
  };
}

/** To a coordinator: an applicant has answered what was asked. Pure. */
export function answeredLetter({ id, personId, name }: Applicant, question: string, answer: string): Letter {
  return {
    about: personId,
    subject: `${name} has answered`,
    heading: `${name} has answered your question`,
    lines: [`You asked: ${question}`],
    quote: answer,
    link: REVIEW(id),
  };
}

/** To a coordinator: every step is done. Pure. */
export function readyLetter({ id, personId, name, areaName }: Applicant): Letter {
  return {
    about: personId,
    subject: `Ready to approve: ${name}`,
    heading: `${name} has taken every step to lead walks in ${areaName}`,
    lines: ['Only your approval is missing. They wait for it.'],
    link: REVIEW(id),
  };
}

/** To the applicant: a coordinator asks something. Pure. */
export function askedLetter(personId: number, question: string): Letter {
  return {
    about: personId,
    subject: 'A question about your application to lead walks',
    heading: 'A coordinator asks you something',
    lines: ['Answer on the page of your steps:'],
    quote: question,
    link: STEPS,
  };
}

/** To the applicant: they lead now. Pure. @param unsigned they have yet to sign the agreement */
export function approvedLetter(personId: number, unsigned: boolean): Letter {
  return {
    about: personId,
    subject: 'You lead walks now',
    heading: 'Welcome: you lead walks now',
    lines: [
      'Sign in to post your first walk. Lead it with someone experienced: your page names who offers that near you.',
      ...(unsigned ? ["Please sign the leader's agreement soon: without it, posting closes after a while."] : []),
    ],
    link: { href: '/lead', label: 'Your walks' },
  };
}

/** To the applicant: declined, in the coordinator's own words. Pure. */
export function declinedLetter(personId: number, words: string): Letter {
  return {
    about: personId,
    subject: 'Your application to lead walks',
    heading: 'Your application was not taken up',
    lines: ['A coordinator writes:'],
    quote: words,
    link: { href: '/', label: 'See the coming walks' },
  };
}

/** To whoever signed: their copy. Pure. */
export function copyLetter(personId: number, waiverId: number): Letter {
  return {
    about: personId,
    subject: "What you signed: the leader's agreement",
    heading: 'Your copy of what you signed',
    lines: ["Below is the leader's agreement exactly as you signed it. Keep this mail."],
    documentOf: waiverId,
    link: { href: '/lead/join/agreement', label: 'The agreement' },
  };
}

/** A leader's agreement that is to be signed. */
interface DueAgreement {
  /** ms */
  at: number;
  /** "Fri, Dec 25, 2026"; null where it is due now. */
  by: string | null;
  /** They have never signed one. */
  isNew: boolean;
  /** For how many months a signature holds. */
  months: number;
}

/** To a leader: the agreement is to be signed by a day, or is due now. Pure. */
export function dueLetter(personId: number, { at, by, isNew, months }: DueAgreement): Letter {
  const often = months === 12 ? 'once a year' : months === 1 ? 'every month' : `every ${months} months`;
  return {
    about: personId,
    due: { at, toCome: by !== null },
    subject:
      by === null ? "Please sign the leader's agreement: posting is closed until then" : `Please sign the leader's agreement by ${by}`,
    heading: by === null ? "The leader's agreement is due" : `The leader's agreement is due on ${by}`,
    lines: [
      isNew ? `This is new: each leader signs the agreement ${often}.` : `Each leader signs the agreement ${often}.`,
      by === null
        ? 'Until you sign it, new walks are kept as drafts. Walks you have posted go on as planned: lead them, edit them, write to everyone.'
        : 'Signing takes five minutes. From that day on new walks are kept as drafts until you have signed; walks you have posted go on as planned.',
    ],
    link: { href: '/lead/join/agreement', label: 'Read and sign' },
  };
}

/** To a leader whom a coordinator has stood down. Pure. @param by the coordinator, by number: an answer reaches them */
export function stoodDownLetter(personId: number, by: number): Letter {
  return {
    about: personId,
    answersTo: by,
    subject: 'You no longer lead walks',
    heading: 'You no longer lead walks from today',
    lines: ['A coordinator has ended your leading. Your coming walks are with the coordinators now: there is nothing for you to do.'],
    link: { href: '/', label: 'See the coming walks' },
  };
}

/** To a coordinator: a leader has erased themself, and so is not named. Pure. */
export function erasedLetter({ personId, areaName }: Pick<Applicant, 'personId' | 'areaName'>): Letter {
  return {
    about: personId,
    subject: `A leader in ${areaName} stops leading walks`,
    heading: `A leader in ${areaName} has left and was erased at their own wish`,
    lines: ['They led no coming walk. Their name is kept nowhere, so it is not said here.'],
    link: { href: '/coordinate/leaders', label: 'The leaders' },
  };
}

/** To a coordinator: a leader stops. Pure. @param walks "3 coming walks", empty where they lead none */
export function leftLetter({ personId, name, areaName }: Omit<Applicant, 'id'>, walks: string): Letter {
  return {
    about: personId,
    subject: `${name} stops leading walks`,
    heading: `${name} stops leading walks in ${areaName}`,
    lines: [walks === '' ? 'They lead no coming walk.' : `They still lead ${walks}, which stay posted and need another leader.`],
    link: { href: '/coordinate', label: 'Walks without a leader' },
  };
}
