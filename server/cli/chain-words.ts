/** Why the end is printed: what is kept in the same place as the database can be put back with it. */
export const END_NOTE =
  'Note the number and the hash down in another place: if later there are fewer signatures, or none with this hash, an older end was put back. To compare: npm run waivers:verify -- and the hash.';
