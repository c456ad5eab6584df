package takewright.demo;

import java.io.IOException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.original.AtomicFile;
import takewright.audio.write.WavWriter;

/** A small invented recording session to try the product on. */
public final class Demo {
  private static final String SHEET = "sheet.yaml";
  private static final String TRUTH = "session-truth.csv";
  private static final String README = "README.txt";

  private static final String INVENTED = "Invented demo data, physically modelled; no real player";

  private static final int BIT_DEPTH = 24;

  private static final String README_TEXT =
      INVENTED
          + """
          .

          The instrument (a "wendrel"), its player (Pell Arrowmoor) and the library (Tarnwhit) do not
          exist. Nothing here was recorded: strings, body, room, talk and chair are computed.

          sheet.yaml         the plan of the library, for: takewright build sheet.yaml --out DIR
          sustain.wav        bowed notes, soft and loud, stereo; somebody talks, one note is played
                             again, and one that the sheet asks for was forgotten
          staccato.wav       short notes, each twice, mono; a chair knocks
          hits.wav           taps on the body, mono
          session-truth.csv  what the takes really hold, to compare a build with

          In that table, times are seconds from the start of the take: start_s is where a sound begins,
          onset_s and end_s are where it first and last is above the room tone (-62 dBFS RMS). cents
          is the deviation from the note in equal temperament with A4 at 440 Hz. retake is 1 if
          the same note was played again right after it; the later one counts.
          """;

  private static final String SHEET_TEXT =
      "# "
          + INVENTED
          + """
          .
          library: Tarnwhit
          tuning_hz: 440
          middle_c: C4
          accidentals: sharp
          name: "{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}"
          output: {sample_rate: 48000, bit_depth: 24}
          layers:
            - {name: close}
          takes:
            - file: sustain.wav
              articulation: sustain
              kind: pitched
              notes: A3..A5/6
              dynamics: [p, f]
              round_robins: 1
              order: [note, dynamic, rr]
            - file: staccato.wav
              articulation: staccato
              kind: pitched
              notes: [A3, D4, G4, C5, F5]
              dynamics: [mf]
              round_robins: 2
              order: [note, dynamic, rr]
            - {file: hits.wav, articulation: hit, kind: unpitched, round_robins: 6}
          """;

  private Demo() {}

  /**
   * Writes the session: a sheet, its takes (75 s in all), a table of what is in them, and a note
   * that all of it is invented. It is the same every time; files that are there already and are the
   * same are left alone.
   *
   * @param folder where to; made if it does not exist
   * @return the sheet
   * @throws FileAlreadyExistsException if the folder holds anything else; nothing is written then
   * @throws IOException if it cannot be written
   */
  public static Path write(Path folder) throws IOException {
    List<DemoTake> takes = DemoSession.play();
    refuseOthers(folder, takes);
    Path target = folder.toAbsolutePath().normalize();
    Files.createDirectories(target.getParent());
    // Beside the folder, so that nothing in it is touched before everything is known to fit.
    Path fresh = Files.createTempDirectory(target.getParent(), ".demo-");
    try {
      writeAll(fresh, takes);
      List<Path> files = list(fresh);
      for (Path file : files) {
        Path old = target.resolve(file.getFileName());
        if (Files.exists(old) && (!Files.isRegularFile(old) || Files.mismatch(file, old) >= 0)) {
          throw refusal(old);
        }
      }
      Files.createDirectories(target);
      for (Path file : files) {
        Path there = target.resolve(file.getFileName());
        if (!Files.exists(there)) {
          Files.move(file, there);
        }
      }
    } finally {
      for (Path left : list(fresh)) {
        Files.delete(left);
      }
      Files.delete(fresh);
    }
    return folder.resolve(SHEET);
  }

  private static void refuseOthers(Path folder, List<DemoTake> takes) throws IOException {
    if (!Files.exists(folder)) {
      return;
    }
    if (!Files.isDirectory(folder)) {
      throw refusal(folder);
    }
    Set<String> own =
        Stream.concat(Stream.of(SHEET, TRUTH, README), takes.stream().map(DemoTake::file))
            .collect(Collectors.toSet());
    for (Path file : list(folder)) {
      if (!own.contains(file.getFileName().toString())) {
        throw refusal(file);
      }
    }
  }

  private static FileAlreadyExistsException refusal(Path file) {
    return new FileAlreadyExistsException(
        file.toString(),
        null,
        "this folder was not made by the demo; give the demo a folder of its own");
  }

  private static void writeAll(Path folder, List<DemoTake> takes) throws IOException {
    WavChunks chunks =
        new WavChunks(
            null, null, new WavChunks.Broadcast(INVENTED, "Takewright demo", "", "", "", 0));
    StringBuilder truth = new StringBuilder(Truth.HEADER).append('\n');
    for (DemoTake take : takes) {
      Clip clip = Clip.of(Wendrel.RATE, take.render());
      WavWriter.write(folder.resolve(take.file()), clip, BIT_DEPTH, chunks);
      for (Truth row : take.truths()) {
        truth.append(row.csv()).append('\n');
      }
    }
    write(folder.resolve(TRUTH), truth.toString());
    write(folder.resolve(README), README_TEXT);
    write(folder.resolve(SHEET), SHEET_TEXT);
  }

  private static void write(Path file, String text) throws IOException {
    AtomicFile.write(file, text.getBytes(java.nio.charset.StandardCharsets.UTF_8));
  }

  private static List<Path> list(Path folder) throws IOException {
    try (Stream<Path> files = Files.list(folder)) {
      return files.sorted().toList();
    }
  }
}
