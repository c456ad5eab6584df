package takewright.level;

/**
 * How far a sample's level is moved.
 *
 * @param gainDb in dB
 * @param limited whether the curve lies further away than it may be drawn
 * @param curveLufs where the curve lies for it after the move, in LUFS; NaN if it has no note or no
 *     loudness
 */
public record NoteGain(double gainDb, boolean limited, double curveLufs) {}
