import { forgetEverything, sayForget } from './forget.js';
import { openKept } from './keep.js';

const QUESTION = 'This phone holds taps on a roll that are not sent yet. Signing out forgets them. Sign out all the same?';

/** Forgets every roll as someone signs out here, and asks first where something would be lost. */
async function forgetThenGo(form: HTMLFormElement): Promise<void> {
  const kept = await openKept();
  const unsent = (await kept?.rolls())?.some((roll) => roll.unsent > 0) ?? false;
  if (unsent && !confirm(QUESTION)) return;
  sayForget();
  try {
    await forgetEverything(kept);
  } finally {
    form.submit();
  }
}

for (const form of document.querySelectorAll<HTMLFormElement>('form[action^="/sign-out"]'))
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    void forgetThenGo(form);
  });
