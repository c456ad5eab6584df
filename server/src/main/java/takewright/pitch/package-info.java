/**
 * What a pitch, a note's pitch and a kind of sound are, and how a pitch is detected and tracked.
 * Everything here takes audio and returns facts; it knows no region, no sample and no sheet.
 */
package takewright.pitch;
