package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.map.JdkSynthesiser;
import takewright.testing.Ear;
import takewright.testing.Job;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/**
 * Keys over the whole range, held for 10 s by the JDK's own synthesiser from a built library's DLS
 * files, and heard by SciPy. The bounds are those of the project's design: level within 1 dB,
 * centroid within 5 %, mean pitch within 1 cent, and a swing at the loop's rate that passes the
 * unlooped note's by at most 1 dB; a vibrato keeps its rate within 5 %.
 */
class HeldNotesTest {
  private static final double ROOM_DBFS = -66;
  private static final double HELD_S = 10;

  /** Notes of each instrument, low to high. */
  private static final List<List<String>> NOTES =
      List.of(
          List.of("contrabass", "G1", "E2", "Gs3"),
          List.of("saxophone", "Cs3", "D4", "G5"),
          List.of("violin", "G3", "E5", "A6"));

  @Test
  void heldForTenSecondsTheyGoOnAsTheyDid(@TempDir Path folder) throws Exception {
    Job job = new Job(folder);
    StringBuilder takes = new StringBuilder("library: Larkfell\ntakes:\n");
    for (List<String> of : NOTES) {
      String instrument = of.get(0);
      job.take(instrument + ".wav", take(instrument, of));
      String names = "\"" + String.join("\", \"", of.subList(1, 4)).replace("s", "#") + "\"";
      takes
          .append("  - {file: ")
          .append(instrument)
          .append(".wav, articulation: ")
          .append(instrument)
          .append(", notes: [")
          .append(names)
          .append("]}\n");
    }
    job.build("looped", takes.toString());
    job.build("raw", takes.toString().replace("]}", "], loop: no}"));
    Ear ear = new Ear(folder);
    List<String> off = new ArrayList<>();
    for (List<String> of : NOTES) {
      byte[] dls = Files.readAllBytes(dls(job.file("looped"), of.get(0)));
      for (Recordings.Note note : notes(of)) {
        String name = note.name().replace("s", "#");
        Path looped = job.sample("looped", "_" + of.get(0) + "_", "_" + name + "_");
        Path raw = job.sample("raw", "_" + of.get(0) + "_", "_" + name + "_");
        assertTrue(ear.loop(looped)[0] > 0, looped + " has no loop");
        Path played = folder.resolve(note.name() + ".wav");
        Clip held =
            JdkSynthesiser.play(
                dls, List.of(new JdkSynthesiser.Note(note.midi(), 100, 0, HELD_S)), HELD_S);
        WavWriter.write(played, held, 24, WavChunks.NONE);
        double[] heard =
            ear.y(
                String.format(
                    "y = played_for_long(%s, %s, %s, %s)",
                    Ear.quoted(played),
                    Ear.quoted(looped),
                    Ear.quoted(raw),
                    440 * Math.pow(2, (note.midi() - 69) / 12.0)));
        check(of.get(0) + " " + name, heard, off);
      }
    }
    assertEquals(List.of(), off);
  }

  private static void check(String name, double[] heard, List<String> off) {
    for (int i = 0; i < 2; i++) {
      if (heard[i] > 1) {
        off.add(String.format("%s pulses: %.2f dB, %s", name, heard[i], i == 0 ? "level" : "tone"));
      }
    }
    if (Math.abs(heard[2]) > 0.05) {
      off.add(String.format("%s: the centroid is off by %.1f %%", name, 100 * heard[2]));
    }
    if (heard[4] > 4 && heard[7] > 0.5 && Math.abs(heard[5] / heard[3] - 1) > 0.05) {
      off.add(String.format("%s: a vibrato of %.2f Hz became %.2f", name, heard[3], heard[5]));
    }
    if (Math.abs(heard[8]) > 1) {
      off.add(String.format("%s: the level moves by %.2f dB", name, heard[8]));
    }
    if (Math.abs(heard[9]) > 1) {
      off.add(String.format("%s: the pitch is off by %.2f cents", name, heard[9]));
    }
  }

  private static List<Recordings.Note> notes(List<String> of) {
    return Recordings.of(of.get(0)).stream().filter(n -> of.contains(n.name())).toList();
  }

  private static Clip take(String instrument, List<String> of) {
    List<Recordings.Note> notes = notes(of);
    int rate = notes.get(0).read(1).sampleRate();
    TakeBuilder take = new TakeBuilder(rate, instrument.hashCode()).pause(2.5);
    for (Recordings.Note note : notes) {
      float[] sound = TakeBuilder.faded(note.read(8));
      take.sound("note", note.midi(), sound, -9, ROOM_DBFS).pause(1.8);
    }
    return take.build(ROOM_DBFS);
  }

  private static Path dls(Path folder, String articulation) throws Exception {
    try (var files = Files.list(folder)) {
      return files
          .filter(f -> f.getFileName().toString().matches("Larkfell_" + articulation + ".*\\.dls"))
          .findFirst()
          .orElseThrow();
    }
  }
}
