import { climbFigure, lengthWords } from '../calc/measure.js';
import type { GroupSettings } from '../settings/rules.js';
import { type WeatherModel, weatherWords } from '../weather/model.js';
import { isolated, names } from '../web/isolated.js';
import { fullWhen, type When, when } from '../web/when.js';
import type { WalkContent } from './content.js';
import { mapPoint, wallWhen } from './difference.js';
import { COMING_UP } from './kinds.js';

/** A text someone signed. */
interface SignedText {
  body: string;
}

/** What the mail templates show of a walk. */
export interface WalkModel {
  title: string;
  areaName: string;
  gather: When;
  setOff: When;
  /** The window in which the group should be back. */
  backFrom: When;
  backTo: When;
  meetingPoint: string;
  landmark: string;
  /** "41.30000, -85.10000", or null. */
  point: string | null;
  length: string;
  /** Empty where it was not said. */
  climb: string;
  underfoot: string;
  bring: string;
  theme: string;
  leader: { name: string; phone: string | null };
  /** "911", or empty where a notice does not know it. */
  emergencyNumber: string;
  /** The forecast and what it means; null where there is none to tell of. */
  weather: WeatherModel | null;
  party: string;
  /** "tomorrow, Sat, Dec 5" */
  day: string;
  waiting: boolean;
  differences: { label: string; before: string; after: string }[];
  cancelled: { forSafety: boolean; reason: string } | null;
  waivers: {
    forName: string;
    signerName: string;
    asGuardian: boolean;
    onPaper: boolean;
    signature: string;
    hash?: string;
    signed: string;
    version: number;
  }[];
  /** Who in the party has yet to sign; empty where nobody has. */
  unsigned: string;
  /** to-sign: asked by whom, and for which minors, too. */
  toSign: { bookedBy: string; minors: string } | null;
  left: string;
  /** member-news */
  member: { bookedBy: string; changed: boolean; cancelled: boolean } | null;
  waiverTexts: { version: number; sha256: string; body: string }[];
  /** What was written, a paragraph a line, by whom, and whether people had gathered by then. */
  message: { from: string; paragraphs: string[]; text: string; afterwards: boolean } | null;
}

/** What is the same for everyone who is told of one version of a walk. */
type Shared = Omit<
  WalkModel,
  | 'party'
  | 'day'
  | 'waiting'
  | 'differences'
  | 'cancelled'
  | 'waivers'
  | 'waiverTexts'
  | 'message'
  | 'unsigned'
  | 'toSign'
  | 'left'
  | 'member'
>;

/**
 * Puts notices' frozen content into words. Notices of one walk come one after another, and formatting times costs more than all else
 * in a mail: the last walk's words are kept for the next notice that says the same.
 */
export function walkModels(textOf: (id: number) => SignedText): (walk: WalkContent, settings: GroupSettings) => WalkModel {
  let last: { key: string; shared: Shared } | undefined;
  return (walk, settings) => {
    const key = JSON.stringify([
      walk.title,
      walk.areaName,
      walk.facts,
      walk.finish,
      walk.leader,
      walk.emergencyNumber,
      walk.weather,
      settings,
    ]);
    if (last?.key !== key) last = { key, shared: sharedModel(walk, settings) };
    return { ...last.shared, ...ownModel(walk, settings, textOf) };
  };
}

function sharedModel(walk: WalkContent, settings: GroupSettings): Shared {
  const { facts } = walk;
  return {
    title: walk.title,
    areaName: walk.areaName,
    gather: wallWhen(facts, facts.gather, facts.gatherAt, settings),
    setOff: wallWhen(facts, facts.setOff, facts.setOffAt, settings),
    backFrom: when(walk.finish.fastest, facts.zone, settings),
    backTo: when(walk.finish.slowest, facts.zone, settings),
    meetingPoint: facts.meetingPoint,
    landmark: facts.landmark,
    point: facts.lat === null ? null : mapPoint(facts),
    length: lengthWords(facts.distanceMetres, settings.units),
    climb: facts.ascentMetres === 0 ? '' : climbFigure(facts.ascentMetres, settings.units, settings.locale),
    underfoot: [...facts.surfaces, ...(facts.stepFree ? ['step-free'] : [])].join(', '),
    bring: facts.bring,
    theme: facts.theme,
    leader: walk.leader,
    emergencyNumber: walk.emergencyNumber ?? '',
    weather: walk.weather ? weatherWords(walk.weather, facts.zone, settings, walk.emergencyNumber ?? '') : null,
  };
}

function ownModel(walk: WalkContent, settings: GroupSettings, textOf: (id: number) => SignedText): Omit<WalkModel, keyof Shared> {
  const { facts, signUp } = walk;
  const signed = walk.waivers ?? [];
  const texts = new Map(signed.map(({ textId, version, sha256 }) => [textId, { version, sha256 }]));
  return {
    party: names(signUp.party),
    day: walk.day ?? COMING_UP,
    waiting: signUp.state === 'waiting',
    differences: walk.differences ?? [],
    cancelled: walk.cancelled ? { forSafety: walk.cancelled.kind === 'safety', reason: walk.cancelled.reason } : null,
    waivers: signed.map(({ signedAt, signedAs, how, ...rest }) => ({
      ...rest,
      onPaper: how === 'paper',
      asGuardian: signedAs === 'guardian',
      signed: fullWhen(signedAt, facts.zone, settings),
    })),
    unsigned: names(walk.unsigned ?? []),
    toSign: walk.toSign ? { bookedBy: isolated(walk.toSign.bookedBy), minors: names(walk.toSign.minors) } : null,
    left: names(walk.left ?? []),
    member: walk.member
      ? { bookedBy: isolated(walk.member.bookedBy), changed: walk.member.news === 'changed', cancelled: walk.member.news === 'cancelled' }
      : null,
    message: walk.message
      ? {
          ...walk.message,
          paragraphs: walk.message.text.split(/\n+/).filter((part) => part !== ''),
          afterwards: walk.message.at >= facts.gatherAt,
        }
      : null,
    waiverTexts: [...texts].map(([id, text]) => ({ ...text, body: textOf(id).body })),
  };
}
