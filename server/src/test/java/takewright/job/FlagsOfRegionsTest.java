package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** What is wrong with a recording is said of the sample that is made of it all the same. */
class FlagsOfRegionsTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;

  private static final String TWO_MICROPHONES =
      "library: Larkfell\nlayers: [{name: close}, {name: far}]\ntakes:\n"
          + "  - {files: {close: close.wav, far: far.wav}, articulation: a, notes: [A3, C4]}\n";

  @TempDir Path folder;

  /** One peak, cut off a step of 16 bits below full scale: the segmenter alone is so strict. */
  @Test
  void aClippedRegionThatTheSheetKeepsIsFlagged() {
    float[] x = HeldTone.of(RATE, 220, 1).samples();
    TakeBuilder builder = new TakeBuilder(RATE, 63).pause(2.5);
    builder.sound("note", 57, x, -6, ROOM_DBFS).pause(2);
    Clip take = builder.build(ROOM_DBFS);
    int at = builder.events().get(0).onset() + RATE / 2;
    Arrays.fill(take.channel(0), at, at + 5, 32766.5f / 32768);
    Job job = new Job(folder).take("take.wav", take);
    String sheet =
        "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: [A3], keep: ["
            + Math.round(10.0 * at / RATE) / 10.0
            + "]}\n";
    job.build("kept", sheet);
    List<String[]> rows = job.rows("kept", "note", "A3", "flags");
    assertEquals(1, rows.size());
    assertTrue(rows.get(0)[0].contains("clipped"), rows.get(0)[0]);
  }

  @Test
  void oneClippedPeakOfASecondMicrophoneIsFlagged() {
    Clip far = twoNotes(65);
    int at = (int) (3.2 * RATE);
    Arrays.fill(far.channel(0), at, at + 5, 1);
    Job job = new Job(folder).take("close.wav", twoNotes(64)).take("far.wav", far);
    job.build("out", TWO_MICROPHONES);
    for (String[] row : job.rows("out", "note", "A3", "layer", "flags")) {
      assertEquals(row[0].equals("far"), isClipped(row[1]), String.join(": ", row));
    }
  }

  /** Peaks cut off 3 dB below the highest, and the take lowered by 6 dB afterwards. */
  @ParameterizedTest
  @ValueSource(strings = {"", "close", "far"})
  void aMicrophoneThatClippedIsFlaggedThoughItWasLoweredAfterwards(String clipped) {
    Job job = new Job(folder);
    for (String microphone : List.of("close", "far")) {
      Clip take = twoNotes(microphone.equals("close") ? 64 : 65);
      job.take(microphone + ".wav", microphone.equals(clipped) ? clippedAndLowered(take) : take);
    }
    job.build("out", TWO_MICROPHONES);
    for (String microphone : List.of("close", "far")) {
      List<String[]> rows = job.rows("out", "layer", microphone, "file", "flags");
      assertEquals(2, rows.size(), microphone);
      for (String[] row : rows) {
        assertEquals(microphone.equals(clipped), isClipped(row[1]), String.join(": ", row));
      }
    }
  }

  private static boolean isClipped(String flags) {
    return List.of(flags.split(" ")).contains("clipped");
  }

  private static Clip twoNotes(long seed) {
    TakeBuilder builder = new TakeBuilder(RATE, seed).pause(2.5);
    for (int midi : new int[] {57, 60}) {
      float[] x = HeldTone.of(RATE, HeldTone.hz(midi), 1.5).samples();
      builder.sound("note", midi, x, -3, ROOM_DBFS).pause(2);
    }
    return builder.build(ROOM_DBFS);
  }

  private static Clip clippedAndLowered(Clip take) {
    float[] x = take.channel(0).clone();
    float limit = (float) Decibels.toAmplitude(-6);
    float gain = (float) Decibels.toAmplitude(-6);
    for (int i = 0; i < x.length; i++) {
      x[i] = gain * Math.max(-limit, Math.min(limit, x[i]));
    }
    return Clip.of(RATE, x);
  }
}
