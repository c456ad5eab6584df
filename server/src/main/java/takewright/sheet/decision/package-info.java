/**
 * What a person decided about regions and cells of a take, and what a decision changes of a sample.
 */
package takewright.sheet.decision;
