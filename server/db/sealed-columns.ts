/** A column of sealed values; `row` is the column whose number each value is bound to. */
export interface SealedColumn {
  table: string;
  column: string;
  row: string;
}

/** Every column that holds sealed values: what a change of keys must seal again. A test looks for one that is missing here. */
export const SEALED: readonly SealedColumn[] = [
  { table: 'emergency_contacts', column: 'sealed', row: 'member_id' },
  { table: 'kept_contacts', column: 'sealed', row: 'id' },
  { table: 'turned_up_contacts', column: 'sealed', row: 'turned_up_id' },
  { table: 'incident_versions', column: 'record_sealed', row: 'id' },
  { table: 'incident_notes', column: 'note_sealed', row: 'id' },
];
