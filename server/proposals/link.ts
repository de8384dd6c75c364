import { privateAddress } from '../web/private-address.js';

/** The address by which a leader answers what they are asked. */
export const { token: askToken, tokenHash: askTokenHash, link: askLink } = privateAddress('ask', '/asks');
