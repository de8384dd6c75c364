/** A mail server's answer for the log: without addresses, whole ones and the receiver's own name before the @. Pure. */
export function withoutAddress(answer: string, toEmail: string): string {
  const name = toEmail.slice(0, toEmail.lastIndexOf('@'));
  const alone = new RegExp(`(?<![\\p{L}\\p{N}])${name.replace(/[^\p{L}\p{N}]/gu, '\\$&')}(?![\\p{L}\\p{N}])`, 'giu');
  return answer.replace(/[^\s<>"'(),:;[\]]+@[^\s<>"'(),:;[\]]+/g, '…').replace(alone, '…');
}
