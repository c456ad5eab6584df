package takewright.report;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.testing.TakeBuilder;

/**
 * A small session of computed tones in which dynamic, round robin and microphone can be told from
 * the sound alone. Invented; nobody plays.
 *
 * <p>Partials of a held tone: soft ones have 4, loud ones 12; the first round robin has no second
 * partial, the second one has it; the far microphone lacks the third.
 */
final class PlayedSession {
  static final int RATE = 48_000;
  static final List<Integer> ROOTS = List.of(60, 64, 67, 71);

  private static final double ROOM_DBFS = -80;

  private PlayedSession() {}

  /** Writes it; the sheet. */
  static Path write(Path folder, String map) throws IOException {
    Files.createDirectories(folder);
    for (boolean far : new boolean[] {false, true}) {
      TakeBuilder held = new TakeBuilder(RATE, 5).pause(2);
      TakeBuilder plucked = new TakeBuilder(RATE, 6).pause(2);
      for (int root : ROOTS) {
        for (boolean loud : new boolean[] {false, true}) {
          for (int rr = 1; rr <= 2; rr++) {
            float[] tone = held(root, loud, rr == 2, far);
            held.sound("note", root, tone, loud ? -12 : -24, ROOM_DBFS).pause(1.2);
          }
        }
        plucked.sound("note", root, plucked(root), -12, ROOM_DBFS).pause(1.2);
      }
      String name = far ? "far" : "close";
      write(folder.resolve("held-" + name + ".wav"), held);
      write(folder.resolve("plucked-" + name + ".wav"), plucked);
    }
    return Files.writeString(
        folder.resolve("sheet.yaml"),
        """
        # Invented.
        library: Brackwater
        %s
        layers:
          - {name: close}
          - {name: far}
          - {name: hall, room: {length_m: 14, width_m: 9, height_m: 6}, wet_db: -9}
        takes:
          - files: {close: held-close.wav, far: held-far.wav}
            articulation: held
            notes: [C4, E4, G4, B4]
            dynamics: [p, f]
            round_robins: 2
            loop: yes
          - files: {close: plucked-close.wav, far: plucked-far.wav}
            articulation: plucked
            notes: [C4, E4, G4, B4]
        """
            .formatted(map));
  }

  private static void write(Path file, TakeBuilder take) throws IOException {
    Clip clip = take.build(ROOM_DBFS);
    WavWriter.write(file, clip, 24, WavChunks.NONE);
  }

  private static float[] held(double midi, boolean loud, boolean second, boolean far) {
    double hz = hz(midi);
    float[] x = new float[(int) (3.2 * RATE)];
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double swell = Math.min(1, t / 0.02) * Math.min(1, Math.max(0, (3.2 - t) / 0.25));
      for (int k = 1; k <= (loud ? 12 : 4); k++) {
        boolean silent = k == 2 && !second || k == 3 && far;
        x[i] += silent ? 0 : (float) (swell * Math.sin(2 * Math.PI * k * hz * t) / k);
      }
    }
    return x;
  }

  private static float[] plucked(double midi) {
    double hz = hz(midi);
    float[] x = new float[(int) (1.4 * RATE)];
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double end = Math.min(1, t / 0.002) * Math.min(1, (1.4 - t) / 0.05);
      for (int k = 1; k <= 8; k++) {
        x[i] += (float) (end * Math.exp(-t * (2 + k)) * Math.sin(2 * Math.PI * k * hz * t) / k);
      }
    }
    return x;
  }

  static double hz(double midi) {
    return 440 * Math.pow(2, (midi - 69) / 12);
  }
}
