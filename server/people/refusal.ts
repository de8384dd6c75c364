import { type Faults, summary } from '../web/forms.js';

/** What a page needs besides the typed values when it refuses a form; nothing to show where there are no faults. */
export function refused(faults: Faults): { errorTitle?: true; errors: ReturnType<typeof summary> } {
  const errors = summary(faults);
  return errors ? { errorTitle: true, errors } : { errors };
}
