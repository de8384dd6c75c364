import { privateAddress } from '../web/private-address.js';

/** The address by which an offer is answered. */
export const { token: offerToken, tokenHash: offerTokenHash, link: offerLink } = privateAddress('offer', '/offers');
