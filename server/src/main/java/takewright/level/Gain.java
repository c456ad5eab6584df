package takewright.level;

/**
 * What a sample's level is to be moved by.
 *
 * @param gainDb in dB
 * @param limited whether the curve lies further away than it may be drawn
 */
public record Gain(double gainDb, boolean limited) {}
