// What the laptop puts before the worker.

/** Checksum of the worker and of all that it names. */
declare const VERSION: string;

/** What it keeps from the start. */
declare const FIRST: string[];
