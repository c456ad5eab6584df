/**
 * What is heard in a note that is not the note's: what comes and goes, blows, and what sets in
 * while the note dies away. Each class measures one thing; {@code takewright.segment} puts them
 * together and holds the findings.
 */
package takewright.segment.flaw;
