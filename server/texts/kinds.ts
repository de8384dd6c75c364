/** The texts a group has, in the order in which they are listed. */
export const TEXT_KINDS = ['rules', 'waiver', 'agreement', 'briefing', 'cautions'] as const;

export type TextKind = (typeof TEXT_KINDS)[number];

/** What a text is called and for. */
interface KindWords {
  title: string;
  /** In a sentence: "version 3 of the rules". */
  name: string;
  use: string;
  /** Where anyone reads the version in force; null where only coordinators do. */
  path: string | null;
}

export const KINDS: Record<TextKind, KindWords> = {
  rules: {
    title: 'Rules of the walks',
    name: 'the rules',
    use: 'What walkers agree to each time they sign up. Anyone can read them.',
    path: '/rules',
  },
  waiver: {
    title: 'The waiver',
    name: 'the waiver',
    use: 'What each adult signs, for a child its guardian. Anyone can read it.',
    path: '/waiver',
  },
  agreement: {
    title: "Leader's agreement",
    name: "the leader's agreement",
    use: 'What someone who leads walks agrees to.',
    path: null,
  },
  briefing: {
    title: 'Briefing',
    name: 'the briefing',
    use: 'What a leader says to the group before setting off.',
    path: null,
  },
  cautions: {
    title: 'Cautions',
    name: 'the cautions',
    use: 'What walkers and leaders do in an emergency, in heat, cold and storms. Anyone can read them.',
    path: '/cautions',
  },
};

export function isTextKind(word: string): word is TextKind {
  return (TEXT_KINDS as readonly string[]).includes(word);
}

/** Sign-ups for walks to come: all, and those for which the version in force was signed. */
export interface ToCome {
  signUps: number;
  signed: number;
}

/** What publishing does, in sentences for the coordinator who is about to. Pure. @param toCome known for the waiver only */
export function effects(kind: TextKind, inForce: number, toCome: ToCome | null): string[] {
  const next = inForce + 1;
  const own = toCome ? waiverEffects(inForce, toCome) : OWN_EFFECTS[kind];
  return [
    ...own,
    `Version ${inForce} stays readable as it is. Version ${next} can't be changed once it is published: mend it by publishing another.`,
  ];
}

const OWN_EFFECTS: Record<TextKind, string[]> = {
  rules: ['From now on everyone who signs up agrees to this version. Those who signed up before agreed to the one of that day.'],
  waiver: [],
  agreement: [
    'Applicants sign this version from now on; each leader does when their agreement is next due.',
    'Nobody is mailed. Tell the leaders what is new.',
  ],
  briefing: ['Nobody is mailed. Tell the leaders what is new.'],
  cautions: ['It is read at /cautions from now on. Nobody is mailed.'],
};

function waiverEffects(inForce: number, { signUps, signed }: ToCome): string[] {
  const figures =
    signed === 0
      ? `No sign-up for a walk to come has a signature of version ${inForce} yet.`
      : `${signed} of ${signUps} ${signUps === 1 ? 'sign-up' : 'sign-ups'} for walks to come ${signed === 1 ? 'has' : 'have'} a signature of version ${inForce}. It will no longer count: “waiver to sign” is shown until version ${inForce + 1} is signed, by the private link in their mails or on paper on the day.`;
  return [
    'Everyone signs anew from now on, whenever they signed before.',
    figures,
    'Nobody is mailed about it; the reminder on the day before a walk names who has yet to sign.',
    'Signatures of earlier versions are kept, with the wording they were for.',
  ];
}
