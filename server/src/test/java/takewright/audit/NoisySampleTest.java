package takewright.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.name.NoteNames;

/**
 * One sample of a group was recorded in a noisier room. The tones and the rooms are computed, so
 * that the difference is known.
 */
class NoisySampleTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -80;

  @TempDir Path folder;

  @Test
  void aSampleInAMuchNoisierRoomIsFound() throws IOException {
    assertEquals(List.of("fen_E4.wav noise"), accused(28));
  }

  /** A few decibels lie within what a session's room does by itself. */
  @Test
  void aSampleInASlightlyNoisierRoomIsNot() throws IOException {
    assertEquals(List.of(), accused(6));
  }

  /**
   * @param moreDb by how much the room of E4 is louder than that of the others
   */
  private List<String> accused(double moreDb) throws IOException {
    for (int midi = 60; midi <= 69; midi++) {
      float[] x = toneInRoom(midi, midi == 64 ? ROOM_DBFS + moreDb : ROOM_DBFS);
      Path file = folder.resolve("fen_" + NoteNames.DEFAULTS.spell(midi) + ".wav");
      WavWriter.write(file, Clip.of(RATE, x), 24, WavChunks.NONE);
    }
    List<String> accused = new ArrayList<>();
    Audit.run(folder, 440, f -> accused.add(f.file() + " " + f.finding().word()), () -> false);
    return accused;
  }

  /** White noise for 1.6 s, in it a tone from 0.3 to 1.3 s. */
  private static float[] toneInRoom(int midi, double roomDbfs) {
    SplittableRandom random = new SplittableRandom(midi);
    double hz = 440 * Math.pow(2, (midi - 69) / 12.0);
    double room = Math.sqrt(3) * Math.pow(10, roomDbfs / 20);
    float[] x = new float[RATE * 16 / 10];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (room * (2 * random.nextDouble() - 1));
      double t = (double) i / RATE - 0.3;
      if (t > 0 && t < 1) {
        double loud = 0.15 * Math.min(1, 100 * t) * Math.min(1, 10 * (1 - t));
        for (int h = 1; h <= 6; h++) {
          x[i] += (float) (loud / h * Math.sin(2 * Math.PI * h * (hz * t + 0.1 * h)));
        }
      }
    }
    return x;
  }
}
