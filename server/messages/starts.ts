import type { WeatherModel } from '../weather/model.js';
import type { MessageForm } from './form.js';

/** What start texts are made from. */
export interface StartFacts {
  weather: WeatherModel | null;
}

interface Start {
  label: string;
  /** The text to begin with; null where there is nothing to tell. */
  write: (facts: StartFacts) => MessageForm | null;
}

/** Texts to begin a message with, by the name the address asks for (`?start=weather`). */
const STARTS: Record<string, Start> = {
  weather: { label: 'The weather', write: ({ weather }) => (weather ? aboutWeather(weather) : null) },
};

const NOT_SURE = 'If you are not sure that you should walk in this, stay at home and withdraw: nobody will mind.';

function aboutWeather({ headline, figures, typed, advice }: WeatherModel): MessageForm {
  const said = [`${headline}.`, `The forecast as of ${typed.date}, ${typed.clock} ${typed.zone}: ${figures}.`];
  const parts = [said, advice, [NOT_SURE]].map((sentences) => sentences.join('\n'));
  return { subject: headline, text: parts.filter((part) => part !== '').join('\n\n') };
}

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
