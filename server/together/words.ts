import type { GroupSettings } from '../settings/rules.js';
import { isolated } from '../web/isolated.js';
import { when } from '../web/when.js';
import type { TogetherContent } from './content.js';

interface Words {
  /** Before ": 8-mile walk …". */
  subject: (names: Names) => string;
  /** A sentence that says it all. */
  sentence: (names: Names) => string;
}

interface Names {
  by: string;
  to: string;
  lead: boolean;
}

const WORDS: Record<Exclude<TogetherContent['news'], 'asked'>, Words> = {
  accepted: {
    subject: ({ to, lead }) => `${to} ${lead ? 'leads it now' : 'shares it'}`,
    sentence: ({ to, lead }) =>
      lead ? `${to} has accepted, and leads this walk now.` : `${to} has accepted, and shares this walk with you.`,
  },
  declined: {
    subject: ({ to, lead }) => `${to} cannot ${lead ? 'lead it' : 'share it'}`,
    sentence: ({ to, lead }) => `${to} says no thanks to ${lead ? 'leading' : 'sharing'} this walk. You can ask someone else.`,
  },
  withdrawn: {
    subject: () => 'Not asked any more',
    sentence: ({ by, lead }) =>
      `${by} has taken back the question whether you would ${lead ? 'lead' : 'share'} this walk. There is nothing to do.`,
  },
  taken: {
    subject: () => 'Someone else leads it',
    sentence: () => 'You were asked whether you would lead this walk. Someone else leads it now; there is nothing to do.',
  },
  cancelled: {
    subject: () => 'Cancelled',
    sentence: ({ lead }) =>
      `You were asked whether you would ${lead ? 'lead' : 'share'} this walk. It is cancelled; there is nothing to do.`,
  },
  left: {
    subject: ({ by }) => `${by} leads no more`,
    sentence: ({ by, lead }) =>
      `You asked ${by} whether they would ${lead ? 'lead' : 'share'} this walk. They lead no walks any more: please ask someone else.`,
  },
  'handed on': {
    subject: ({ by }) => `${by} leads it now`,
    sentence: ({ by }) => `${by} leads this walk now, instead of you. Everyone signed up is told.`,
  },
  shared: { subject: ({ by }) => `${by} shares it`, sentence: ({ by }) => `${by} shares this walk with you: a coordinator asked them.` },
  'made leader': {
    subject: () => 'You lead it now',
    sentence: ({ by }) =>
      `${by} has made you the leader of this walk, which you shared. If you cannot lead it, say so at once: ask another leader on its page.`,
  },
  removed: { subject: () => 'You no longer share it', sentence: ({ by }) => `${by} has taken you off this walk: you share it no more.` },
  'stepped back': {
    subject: ({ by }) => `${by} has stepped back`,
    sentence: ({ by }) => `${by} has stepped back, and shares this walk no more.`,
  },
};

function namesIn({ by, to, kind }: TogetherContent): Names {
  return { by: isolated(by.name), to: isolated(to.name), lead: kind === 'hand-over' };
}

/** "Would you lead the 8-mile walk: Quarry Lakes loop, Lantern Hills?" */
export function togetherSubject(content: TogetherContent): string {
  const names = namesIn(content);
  if (content.news === 'asked') return `Would you ${names.lead ? 'lead' : 'share'} the ${content.title}?`;
  return `${WORDS[content.news].subject(names)}: ${content.title}`;
}

/** What the templates of mail between leaders show. */
export function togetherModel(content: TogetherContent, settings: GroupSettings, offerLink: string) {
  const names = namesIn(content);
  return {
    title: content.title,
    gather: when(content.gatherAt, content.zone, settings),
    place: content.place,
    byName: names.by,
    toName: names.to,
    headline: content.news === 'asked' ? '' : WORDS[content.news].subject(names),
    lead: names.lead,
    note: content.note,
    sentence: content.news === 'asked' ? '' : WORDS[content.news].sentence(names),
    leadsToPage: !['withdrawn', 'taken', 'cancelled', 'handed on', 'removed'].includes(content.news),
    walkId: content.walkId,
    offerLink,
  };
}
