/**
 * What is heard at once of a sound while a take is recorded, from its last seconds of audio. Each
 * class measures one thing; {@code takewright.segment.LiveSegment} puts them together, and {@code
 * takewright.library.follow} holds the findings.
 */
package takewright.segment.live;
