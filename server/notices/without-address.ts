/** A mail server's answer for the log: without addresses, whole ones and the receiver's own name before the @. Pure. */
export function withoutAddress(answer: string, toEmail: string): string {
  const name = toEmail.slice(0, toEmail.lastIndexOf('@'));
  // By number: with the u flag most marks may not be escaped, and a name with a hyphen would be no expression.
  const literal = name.replace(/[^\p{L}\p{N}]/gu, (mark) => `\\u{${mark.codePointAt(0)?.toString(16)}}`);
  const alone = new RegExp(`(?<![\\p{L}\\p{N}])${literal}(?![\\p{L}\\p{N}])`, 'giu');
  return answer.replace(/[^\s<>"'(),:;[\]]+@[^\s<>"'(),:;[\]]+/g, '…').replace(alone, '…');
}
