package takewright.library;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CyclicBarrier;
import java.util.concurrent.Future;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.denoise.room.NoiseProfile;
import takewright.library.folder.IndexRow;
import takewright.library.sample.SampleMaker;
import takewright.library.take.KeptRegion;
import takewright.library.take.PickUps;
import takewright.library.take.Stamps;
import takewright.library.take.TakeHeard;
import takewright.pitch.Pitch;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.read.SheetReader;
import takewright.testing.HeldTone;
import takewright.testing.TakeBuilder;

/** Takes are matched as soon as they are cut, the short ones first. */
class CutAndMatchTest {
  private static final int RATE = 48_000;

  /** Of the notes of the long take. */
  private static final int NOT_NEW = 65;

  private static final int WAV_HEADER_BYTES = 128;

  @TempDir Path folder;

  private Path sheet() throws IOException {
    StringBuilder sheet = new StringBuilder("library: Larkfell\ntakes:\n");
    for (String name : List.of("long", "short", "empty")) {
      int notes = name.equals("long") ? 12 : 1;
      TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
      for (int i = 0; i < notes; i++) {
        take.sound("note", 60 + i, note(60 + i), -12, -62).pause(1.5);
      }
      WavWriter.write(folder.resolve(name + ".wav"), take.build(-62), 24, WavChunks.NONE);
      String wanted = name.equals("long") ? "C4..B4" : name.equals("short") ? "C4" : "[C4, D4]";
      sheet.append("  - {file: " + name + ".wav, articulation: " + name);
      sheet.append(", notes: " + wanted + ", dynamics: [f]}\n");
    }
    return Files.writeString(folder.resolve("sheet.yaml"), sheet);
  }

  private static float[] note(int midi) {
    return HeldTone.of(RATE, HeldTone.hz(midi), 1).dyingAway(8.7).samples();
  }

  @Test
  void whatIsSaidOfTakesComesInTheOrderOfTheSheet() throws IOException {
    List<String> said = new ArrayList<>();
    BuildListener listener =
        new BuildListener() {
          @Override
          public void heard(TakeHeard take) {
            said.add("heard " + take.take().articulation());
          }

          @Override
          public void matched(Take take, List<IndexRow> missing, Map<String, NoiseProfile> rooms) {
            said.add("matched " + take.articulation() + ", " + missing.size() + " missing");
          }

          @Override
          public void made(List<IndexRow> samples) {}
        };
    BuildOrder order = BuildOrder.of(sheet(), folder.resolve("out"));
    BuildResult result = Build.run(order, progress -> {}, listener, () -> false);
    assertEquals(
        List.of(
            "heard long",
            "matched long, 0 missing",
            "heard short",
            "matched short, 0 missing",
            "heard empty",
            "matched empty, 1 missing"),
        said);
    assertEquals(14, result.samples());
    for (String name : List.of("long", "short", "empty")) {
      assertTrue(Files.exists(folder.resolve("out/Larkfell_" + name + "_close.dls")), name);
    }
  }

  /** A core that waits until the last take is cut: what is heard ahead is not heard again. */
  @Test
  void newNotesAreHeardBeforeLevelsAreKnown() throws IOException {
    Sheet sheet = SheetReader.read(sheet());
    List<KeptRegion> kept = new ArrayList<>();
    try (Background background = new Background(() -> false)) {
      BuildReporter reporter = new BuildReporter(3, "", progress -> {});
      new CutAndMatch(
              sheet,
              background,
              reporter,
              new Stamps(),
              new PickUps(),
              note -> note.cell().midi() != NOT_NEW)
          .apply(sheet.takes(), take -> kept.addAll(take.cut().kept()));
      finish(background);
    }
    assertEquals(14, kept.size());
    for (Take take : sheet.takes()) {
      silence(take.paths().get(0));
    }
    for (KeptRegion note : kept) {
      Pitch heard = SampleMaker.hear(sheet, note);
      if (note.cell().midi() == NOT_NEW) {
        assertNull(heard);
      } else {
        assertEquals(note.cell().midi(), heard.midi());
      }
    }
  }

  /** Work begins in the order in which it is submitted: once all cores meet, all before is done. */
  private static void finish(Background background) throws IOException {
    CyclicBarrier all = new CyclicBarrier(Runtime.getRuntime().availableProcessors());
    Map<Integer, Future<Integer>> meeting = new HashMap<>();
    for (int core = 0; core < all.getParties(); core++) {
      meeting.put(core, background.submit(all::await));
    }
    background.results(meeting);
  }

  /** Nothing is heard in the file from now on, though it seems to be the same. */
  private static void silence(Path file) throws IOException {
    FileTime time = Files.getLastModifiedTime(file);
    byte[] content = Files.readAllBytes(file);
    Arrays.fill(content, WAV_HEADER_BYTES, content.length, (byte) 0);
    Files.write(file, content);
    Files.setLastModifiedTime(file, time);
  }

  /** Though the second fails long before the first has been cut. */
  @Test
  void theFirstTakeThatFailsIsTheOneThatIsSaid() throws IOException {
    Path sheet = sheet();
    Files.delete(folder.resolve("short.wav"));
    Files.delete(folder.resolve("empty.wav"));
    BuildOrder order = BuildOrder.of(sheet, folder.resolve("out"));
    IOException said =
        assertThrows(
            IOException.class,
            () -> Build.run(order, progress -> {}, BuildListener.NOBODY, () -> false));
    assertTrue(said.getMessage().contains("short.wav"), said.getMessage());
  }
}
