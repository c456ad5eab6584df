/** Markers in a recording: reading them, and a copy of the recording that has them. */
package takewright.audio.marker;
