package takewright.sheet;

import java.nio.file.Path;
import java.util.List;
import takewright.layer.RoomSettings;
import takewright.layer.RoomShape;

/**
 * One way in which the notes are heard: as recorded by a microphone, or made from that.
 *
 * @param line where the sheet names it, from 1; 0 if it does not
 * @param name for instance "close"
 * @param articulations those it is made for; empty for all
 * @param impulse the impulse response of a room to play the recording through; null for none
 * @param room a room to compute such a response of; null for none
 * @param wetDb level of that room beside the recording, in dB, -60 to 12
 * @param preDelayMs how much later the room sets in, in milliseconds, 0 to 500
 * @param wetOnly whether the room is heard alone
 * @param chain effects to send the recording through, in order; empty for none
 * @param gainDb gain of the whole, in dB, -60 to 24; 0 of a recorded layer
 */
public record Layer(
    int line,
    String name,
    List<String> articulations,
    Path impulse,
    RoomShape room,
    double wetDb,
    double preDelayMs,
    boolean wetOnly,
    List<ChainLink> chain,
    double gainDb) {
  /** Level of a room whose layer gives none, in dB. */
  public static final double DEFAULT_WET_DB = RoomSettings.DEFAULT_WET_DB;

  /**
   * Gain of a made layer that gives none, in dB: what comes on top of a sample that fills the scale
   * has room then, and no note of the layer need be lowered by itself.
   */
  public static final double DEFAULT_GAIN_DB = -6;

  public Layer {
    articulations = List.copyOf(articulations);
    chain = List.copyOf(chain);
  }

  /** A microphone. */
  public static Layer recorded(int line, String name) {
    return new Layer(line, name, List.of(), null, null, DEFAULT_WET_DB, 0, false, List.of(), 0);
  }

  /** The same layer with another impulse response. */
  Layer playedIn(Path otherImpulse) {
    return new Layer(
        line, name, articulations, otherImpulse, room, wetDb, preDelayMs, wetOnly, chain, gainDb);
  }

  /** Whether it is what a microphone recorded, with nothing made of it. */
  public boolean isRecorded() {
    return impulse == null && room == null && chain.isEmpty();
  }

  /** Whether it is there for an articulation. */
  public boolean isFor(String articulation) {
    return articulations.isEmpty() || articulations.contains(articulation);
  }
}
