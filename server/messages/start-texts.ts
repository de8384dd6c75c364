import { lengthWords } from '../calc/measure.js';
import type { WalkPart } from '../notices/content.js';
import { mapPoint } from '../notices/difference.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WeatherModel } from '../weather/model.js';
import { phoneText } from '../web/phone.js';
import { fullWhen, when } from '../web/when.js';
import type { MessageForm } from './form.js';
import { GAPS } from './gaps.js';

/** A walk in the words of its start texts. */
export interface StartWalk {
  title: string;
  /** "Sat, Dec 5, 2026, 8:45 AM EST" */
  gather: string;
  /** "9:00 AM EST" */
  setOff: string;
  /** The window of the finish: "1:10 PM and 2:30 PM EST" */
  back: string;
  /** The meeting point with its landmark. */
  place: string;
  /** "41.30000, -85.10000", or null. */
  point: string | null;
  length: string;
  /** "Lena Marsh, +1 202 555 0110" */
  leader: string;
  emergencyNumber: string;
  /** The next walks nearby: title, when, address. */
  next: string[];
}

/** Puts a walk into the words of start texts. Pure. @param next the next walks nearby, in words */
export function startWalk(part: WalkPart, settings: GroupSettings, next: string[]): StartWalk {
  const { facts, leader, finish } = part;
  const [setOff, from, to] = [facts.setOffAt, finish.fastest, finish.slowest].map((at) => when(at, facts.zone, settings));
  return {
    title: part.title,
    gather: fullWhen(facts.gatherAt, facts.zone, settings),
    setOff: `${setOff?.clock} ${setOff?.zone}`,
    back: `${from?.clock} and ${to?.clock} ${to?.zone}`,
    place: [facts.meetingPoint, facts.landmark].filter((one) => one !== '').join(', '),
    point: facts.lat === null ? null : mapPoint(facts),
    length: lengthWords(facts.distanceMetres, settings.units),
    leader: leader.phone === null ? leader.name : `${leader.name}, ${phoneText(leader.phone)}`,
    emergencyNumber: part.emergencyNumber ?? '',
    next,
  };
}

/** A subject, and paragraphs of lines; a null line is left out. */
function told(subject: string, ...paragraphs: (string | null)[][]): MessageForm {
  const parts = paragraphs.map((lines) => lines.filter((one) => one !== null).join('\n'));
  return { subject, text: parts.filter((part) => part !== '').join('\n\n') };
}

const NOT_SURE = 'If you are not sure that you should walk in this, stay at home and withdraw: nobody will mind.';

/** What the forecast means, with its figures. */
export function aboutWeather({ headline, figures, typed, advice }: WeatherModel): MessageForm {
  const said = [`${headline}.`, `The forecast as of ${typed.date}, ${typed.clock} ${typed.zone}: ${figures}.`];
  return told(headline, said, advice, [NOT_SURE]);
}

/** Where, when and by what to know the group. */
export function aboutMeeting(walk: StartWalk): MessageForm {
  return told(
    'Where we meet',
    [`We gather ${walk.gather}.`, `The place: ${walk.place}.`, walk.point === null ? null : `Map point: ${walk.point}`],
    [`Look for ${GAPS.lookFor}.`],
    [`We set off at ${walk.setOff} and walk ${walk.length}. We should be back between ${walk.back}.`],
    [`If you can't find us, ring ${walk.leader}.`],
  );
}

/** Where to leave the car, and how long it takes from there. */
export function aboutParking(walk: StartWalk): MessageForm {
  return told(
    'Where to park',
    [`Park at ${GAPS.parkAt}.`, `From there it is ${GAPS.minutes} minutes on foot to ${walk.place}.`],
    [`We gather ${walk.gather}, and set off at ${walk.setOff}: please leave early enough to park.`],
    [`If you get stuck, ring ${walk.leader}.`],
  );
}

/** The walk sets off later than it should. */
export function startsLater(walk: StartWalk): MessageForm {
  return told(
    'Running late',
    [`I am running ${GAPS.minutes} minutes late. Please wait at ${walk.place}: we set off when I am there.`],
    [`If you can't wait, no harm done. To reach us, ring ${walk.leader}.`],
  );
}

/** The walk is on its way, and behind its time. */
export function backLater(walk: StartWalk): MessageForm {
  return told(
    'Back later than planned',
    [`We are running ${GAPS.minutes} minutes late. The plan was to be back between ${walk.back}.`],
    ['Please tell whoever picks you up or waits for you.'],
    [`To reach us, ring ${walk.leader}.`],
  );
}

/** Thanks, a word on what hurts, and what comes next nearby. */
export function thanks(walk: StartWalk): MessageForm {
  const emergency = walk.emergencyNumber === '' ? 'the emergency services' : walk.emergencyNumber;
  return told(
    'Thank you for coming',
    [`Thank you for coming on the ${walk.title}.`],
    [
      'If you got hurt or felt unwell on the way, even a little, please answer this mail and tell me.',
      `If it has not passed, see a doctor; in an emergency ring ${emergency}.`,
    ],
    walk.next.length === 0 ? [] : ['The next walks nearby:', ...walk.next],
  );
}

/** Where the photos are, and what the consent to them asks of everyone. */
export function aboutPhotos(walk: StartWalk): MessageForm {
  return told(
    'Photos of our walk',
    [`Photos of the ${walk.title}: ${GAPS.photosAt}`],
    [
      'Some people asked not to be shown. Please share only pictures of people who said yes, and never a picture of children without the yes of their guardian.',
    ],
    ['Are you in a picture that you want taken down? Answer this mail, and it goes.'],
  );
}
