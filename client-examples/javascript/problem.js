/** A problem to report to the user in one line. */
export class Problem extends Error {}
