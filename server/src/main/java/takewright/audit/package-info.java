/**
 * An existing folder of samples, held against its own names: what is wrong, missing, twice there or out
 * of line, and a plan to rename what is named wrongly.
 */
package takewright.audit;
