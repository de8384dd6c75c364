import type { WeatherModel } from '../weather/model.js';
import type { MessageForm } from './form.js';
import type { OpenMoment } from './moment.js';
import { aboutMeeting, aboutParking, aboutPhotos, aboutWeather, backLater, type StartWalk, startsLater, thanks } from './start-texts.js';

/** What start texts are made from. */
export interface StartFacts {
  moment: OpenMoment;
  walk: StartWalk;
  weather: WeatherModel | null;
}

interface Start {
  label: string;
  /** The text to begin with; null where there is nothing to tell. */
  write: (facts: StartFacts) => MessageForm | null;
}

const isComing = ({ moment }: StartFacts) => moment.audience === 'everyone';

/** Texts to begin a message with, by the name the address asks for (`?start=weather`). */
const STARTS: Record<string, Start> = {
  weather: { label: 'The weather', write: (facts) => (facts.weather && isComing(facts) ? aboutWeather(facts.weather) : null) },
  meeting: { label: 'Where we meet', write: (facts) => (isComing(facts) ? aboutMeeting(facts.walk) : null) },
  parking: { label: 'Parking', write: (facts) => (isComing(facts) ? aboutParking(facts.walk) : null) },
  late: {
    label: 'Running late',
    write: ({ moment, walk }) => (moment.isDay ? (moment.hasSetOff ? backLater(walk) : startsLater(walk)) : null),
  },
  thanks: { label: 'Thank you', write: ({ moment, walk }) => (moment.hasSetOff ? thanks(walk) : null) },
  photos: { label: 'Photos', write: ({ moment, walk }) => (moment.hasSetOff ? aboutPhotos(walk) : null) },
};

/** The text a message begins with; empty where none is asked for, or there is nothing to tell. */
export function startText(name: string, facts: StartFacts): MessageForm {
  const start = Object.hasOwn(STARTS, name) ? STARTS[name] : undefined;
  return start?.write(facts) ?? { subject: '', text: '' };
}

/** The start texts that have something to tell. */
export function offeredStarts(facts: StartFacts): { name: string; label: string }[] {
  return Object.entries(STARTS)
    .filter(([, start]) => start.write(facts) !== null)
    .map(([name, { label }]) => ({ name, label }));
}
