package takewright.library;

import java.nio.file.Path;
import java.util.List;

/**
 * One way in which the notes are heard: as recorded by a microphone, or made from that.
 *
 * @param line where the sheet names it, from 1; 0 where it does not
 * @param name for instance "close"
 * @param impulse the impulse response of a room to play the recording through; null for none
 * @param wetDb level of that room beside the recording, in dB, -60 to 12; 0 without impulse
 * @param chain effects to send the recording through, in order; empty for none
 */
public record Layer(int line, String name, Path impulse, double wetDb, List<Effect> chain) {
  /** Level of a room whose layer gives none, in dB. */
  static final double DEFAULT_WET_DB = -6;

  public Layer {
    chain = List.copyOf(chain);
  }

  static Layer recorded(String name) {
    return new Layer(0, name, null, 0, List.of());
  }

  /** Whether it is what a microphone recorded, with nothing made of it. */
  public boolean isRecorded() {
    return impulse == null && chain.isEmpty();
  }
}
