package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.library.Build;
import takewright.library.BuildListener;
import takewright.library.BuildOrder;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.report.PlantedSession;
import takewright.sheet.cell.CellStatus;

/** Fades of single samples, as a person decides them. */
class FadesHeardTest {
  @TempDir Path folder;

  private static final double FADE_S = 0.6;

  private Path sheet;

  /** The first kept sample of a build, and its row. */
  private record Made(IndexRow row, float[] sound, int rate) {
    double rms(double fromS, double toS) {
      double sum = 0;
      int from = (int) (fromS * rate);
      int to = (int) (toS * rate);
      for (int i = from; i < to; i++) {
        sum += sound[i] * sound[i];
      }
      return Math.sqrt(sum / (to - from));
    }

    double seconds() {
      return (double) sound.length / rate;
    }
  }

  private Made build(String name, String decisions) throws IOException {
    Path file = Files.writeString(folder.resolve(name + ".yaml"), decisions);
    Path out = folder.resolve(name);
    Build.run(new BuildOrder(sheet, out, file), p -> {}, BuildListener.NOBODY, () -> false);
    IndexRow row =
        IndexCsv.read(out.resolve("index.csv")).stream()
            .filter(r -> r.status() == CellStatus.KEPT)
            .findFirst()
            .orElseThrow();
    try (AudioFile sample = AudioFile.open(out.resolve(row.file()))) {
      Clip clip = Clip.read(sample, (int) sample.frames());
      return new Made(row, clip.mono(), clip.sampleRate());
    }
  }

  @Test
  void aFadeIsAsLongAsWasDecided() throws IOException {
    sheet = PlantedSession.write(folder.resolve("session"));
    Made usual = build("usual", "");
    double at = (usual.row.stretch().onsetS() + usual.row.stretch().endS()) / 2;
    Made faded =
        build(
            "faded",
            "takes: [{file: 'take #1 50%.wav', fixes: [{at: "
                + at
                + ", fade_in_ms: 600, fade_out_ms: 600}]}]");
    assertEquals(usual.sound.length, faded.sound.length);
    // Half a cosine has passed half of its way in the middle of the fade: 6 dB down.
    double middle = FADE_S / 2;
    assertEquals(0.5, share(faded, usual, middle), 0.03);
    assertEquals(0.5, share(faded, usual, usual.seconds() - middle), 0.03);
    assertEquals(1, share(faded, usual, usual.seconds() / 2), 1e-3);
    // At a quarter of the way: (1 - cos 45 degrees) / 2.
    assertEquals(0.146, share(faded, usual, FADE_S / 4), 0.03);
    assertTrue(share(faded, usual, usual.seconds() - FADE_S - 0.05) > 0.99);
  }

  /** How loud one is beside the other around a time, as a factor. */
  private static double share(Made one, Made other, double atS) {
    return one.rms(atS - 0.01, atS + 0.01) / other.rms(atS - 0.01, atS + 0.01);
  }
}
