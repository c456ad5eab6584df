/**
 * Hears a sample: its pitch, kind, loudness, peak, noise floor, faults and character. What a pitch
 * is, and how it is detected, is in {@link takewright.pitch}.
 */
package takewright.analyse;
