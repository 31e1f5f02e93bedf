// What the modules of the page hand to each other. The desk's Go types have the same fields (project.go, ../../../sim/proof/document.go).

export type Letter = 'a' | 'b';

/** One version: a score with its building, organ and player. */
export interface Side {
  score: number;
  room: string;
  rt: number; // s
  seat: string;
  organ: string;
  tempo: number; // factor
  assign?: Record<string, string>;
  dynamics?: { part: string; bar: number; dynamic: string }[];
  stops?: string;
  as_printed?: boolean; // every bar once
  upbeat?: number;      // of a MIDI file, crotchets; 0: as the music tells, -1: none
}

/** What the user calls the two versions. */
export interface Names { a?: string; b?: string }

export interface ProjectDocument {
  id: string;
  version: number;
  name: string;
  saved: string;
  scores: { file: string; shown: string; from: number; why?: string; edition?: number }[];
  response?: { file: string; shown: string; title?: string; seats?: string[] };
  organ?: { file: string; shown: string; title?: string; divisions?: string[] };
  a: Side;
  b?: Side | null;
  active: Letter;
  names?: Names;
  past: { what: string; a: Side; b?: Side | null; names?: Names }[];
}

export interface Bar { number: number; at_s: number }

export type Severity = 'fail' | 'warning' | 'note';

/** A finding as it was computed and as people read it. */
export interface Finding {
  id: number;
  kind: string;     // as people read it
  kind_key: string; // as it was computed
  bar: number;
  to_bar: number;
  at_s: number;
  until_s: number;
  count?: number;
  division: string;
  keys: string[];
  severity: Severity;
  message: string;
  place: string;
  figures: [string, string, string][]; // label, amount, name
  beside?: number; // places, where place does not say how many
  said: boolean;   // message and try are in the language of the page
  meaning?: string; // what the kind says, where message is in another language
  offers: { name: string; title: string }[];
  try?: string[];
  trace?: any;
}

/** A run of a version: the document that the report has too, and its findings, the worst first. */
export interface Run { key: string; side: Side; document: any; shown: Finding[]; knobs?: string[]; whole?: WholePicture }

/** What the room does to the whole piece (../../report/whole.go). */
export interface WholePicture { line: string; view_box: string; share?: string; usual?: string; caption?: string; alt?: string }

/** A project in the list of them. */
export interface Summary { id: string; name: string; saved: string; file: string }

export interface Notation { library: string; script: string; style: string; licences: string }

export interface Overview {
  version: string;
  demos: { name: string; title: string }[];
  rooms: { name: string; title: string; rt: number; seats: string[] }[];
  organs: { name: string; title: string; divisions: string[] }[];
  marks: string[];
  terms: Record<string, string>; // what they mean
  rt_range: [number, number];
  max_score: number;
  max_response: number;
  notation: Notation | null;
}

/** How requests reach the desk. */
export interface Door {
  fetch(path: string, options: { method: string; body?: BodyInit; headers?: Record<string, string>; signal?: AbortSignal }): Promise<Response>;
  /** lets the browser keep a file */
  download(path: string): Promise<void>;
  /** brings the engraving library into the page */
  library(assets: Notation): Promise<void>;
  /** whether no sound need be made for a moment; a door that makes sound and findings on the same cores asks */
  spare?: () => boolean;
}

declare global {
  /** classes of the engraving library's script, which the page loads when it engraves */
  const Engraved: any;
  const Moments: any;
}
