/** How long a tab waits for another that is sending: one that the phone has frozen must not keep this one from it. */
const WAIT_MS = 5000;

/**
 * Runs `work` while no other tab of this browser runs its own, so that what waits is sent once. Where the browser has no locks, or the other
 * tab keeps it too long, it runs all the same: sent twice is once for the service, too.
 */
export async function inTurn(name: string, work: () => Promise<void>): Promise<void> {
  // Only over https or on the machine itself.
  if (!('locks' in navigator)) return work();
  const giveUp = new AbortController();
  const timer = setTimeout(() => giveUp.abort(), WAIT_MS);
  const started = { yet: false };
  try {
    await navigator.locks.request(name, { signal: giveUp.signal }, async () => {
      started.yet = true;
      clearTimeout(timer);
      await work();
    });
  } catch (error) {
    if (started.yet) throw error;
    await work();
  } finally {
    clearTimeout(timer);
  }
}
