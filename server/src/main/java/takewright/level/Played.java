package takewright.level;

/**
 * One note as it was played.
 *
 * @param midi MIDI note number; null if it has none
 * @param dynamic for instance "mf"; only whether two are the same matters
 * @param levelLufs its loudness in LUFS; NaN if there is none
 * @param peakDbtp true peak in dBTP, of all microphones
 */
public record Played(Integer midi, String dynamic, double levelLufs, double peakDbtp) {
  /** The same at a level raised by a number of dB. */
  public Played louder(double db) {
    return new Played(midi, dynamic, levelLufs + db, peakDbtp + db);
  }
}
