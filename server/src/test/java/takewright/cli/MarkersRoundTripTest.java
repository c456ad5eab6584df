package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.Outside;
import takewright.testing.TakeBuilder;

/**
 * Markers both ways: a take is segmented into a copy with markers, a script that knows nothing but
 * the RIFF chunks changes them as an editor would, and the library is built from what it left.
 */
class MarkersRoundTripTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -60;
  private static final int[] NOTES = {57, 60, 64, 67}; // A3, C4, E4, G4

  /** One take, found or by its markers. */
  private static final String SHEET =
      """
      library: Larkfell
      output: {sample_rate: 48000}
      takes:
        - {file: %s, articulation: sustain, notes: [A3, C4, E4, G4]%s}
      """;

  private static final String FROM_MARKERS = ", cutting: {from: markers}";

  /**
   * Changes the markers of a WAV file in place, by the chunks of the standard of 1991 alone. Words
   * after the file's name: {@code move POINT FRAME LENGTH}, {@code label POINT TEXT}, {@code delete
   * POINT}, {@code point POINT} (takes its length away), {@code add FRAME LENGTH TEXT}; {@code
   * print} prints frame, length and label of each. Points are counted from 1.
   */
  private static final String EDITOR =
      """
      import struct, sys
      file, words = sys.argv[1], sys.argv[2:]
      data = open(file, 'rb').read()
      chunks, at = [], 12
      while at + 8 <= len(data):
          name, size = data[at:at + 4], struct.unpack('<I', data[at + 4:at + 8])[0]
          chunks.append((name, data[at + 8:at + 8 + size]))
          at += 8 + size + (size & 1)
      points, length, label, note = [], {}, {}, {}
      for name, body in chunks:
          if name == b'cue ':
              for i in range(struct.unpack('<I', body[:4])[0]):
                  p = struct.unpack('<II4sIII', body[4 + 24 * i:28 + 24 * i])
                  points.append([p[0], p[5]])
          if name == b'LIST' and body[:4] == b'adtl':
              sub = 4
              while sub + 8 <= len(body):
                  kind, n = body[sub:sub + 4], struct.unpack('<I', body[sub + 4:sub + 8])[0]
                  part = body[sub + 8:sub + 8 + n]
                  point = struct.unpack('<I', part[:4])[0]
                  if kind == b'ltxt':
                      length[point] = struct.unpack('<I', part[4:8])[0]
                  elif kind == b'labl':
                      label[point] = part[4:].rstrip(b'\\0')
                  elif kind == b'note':
                      note[point] = part[4:].rstrip(b'\\0')
                  sub += 8 + n + (n & 1)
      def frame_of(point):
          return next(p for p in points if p[0] == point)
      while words:
          verb = words.pop(0)
          if verb == 'print':
              for point, frame in points:
                  print(frame, length.get(point, 0), label.get(point, b'').decode(), sep='\\t')
              sys.exit()
          elif verb == 'move':
              point = int(words.pop(0))
              frame_of(point)[1] = int(words.pop(0))
              length[point] = int(words.pop(0))
          elif verb == 'label':
              point = int(words.pop(0))
              label[point] = words.pop(0).encode()
          elif verb == 'delete':
              points.remove(frame_of(int(words.pop(0))))
          elif verb == 'point':
              del length[int(words.pop(0))]
          elif verb == 'add':
              point = 1000 + len(points)
              points.append([point, int(words.pop(0))])
              length[point] = int(words.pop(0))
              label[point] = words.pop(0).encode()
      def chunk(name, body):
          return name + struct.pack('<I', len(body)) + body + b'\\0' * (len(body) & 1)
      cue = struct.pack('<I', len(points))
      adtl = b'adtl'
      for point, frame in points:
          cue += struct.pack('<II4sIII', point, frame, b'data', 0, 0, frame)
          adtl += chunk(b'labl', struct.pack('<I', point) + label.get(point, b'') + b'\\0')
          if point in note:
              adtl += chunk(b'note', struct.pack('<I', point) + note[point] + b'\\0')
          if point in length:
              adtl += chunk(b'ltxt', struct.pack('<II4sHHHH', point, length[point], b'rgn ', 0, 0, 0, 0))
      body = b'WAVE'
      for name, content in chunks:
          if name != b'cue ' and not (name == b'LIST' and content[:4] == b'adtl'):
              body += chunk(name, content)
      body += chunk(b'cue ', cue) + chunk(b'LIST', adtl)
      open(file, 'wb').write(b'RIFF' + struct.pack('<I', len(body)) + body)
      """;

  @TempDir static Path folder;
  private static Job job;
  private static Path script;

  @BeforeAll
  static void record() throws IOException {
    job = new Job(folder);
    TakeBuilder take = new TakeBuilder(RATE, 5).pause(3);
    for (int note : NOTES) {
      take.sound("note", note, tone(note, 2), -12, ROOM_DBFS).pause(1.5);
    }
    take.sound("talk", -1, take.talk(), -20, ROOM_DBFS).pause(1);
    job.take("take.wav", take.build(ROOM_DBFS));
    script = Files.writeString(folder.resolve("editor.py"), EDITOR);
  }

  private static float[] tone(int note, double seconds) {
    return HeldTone.of(RATE, HeldTone.hz(note), seconds).samples();
  }

  private static int command(String... words) {
    ByteArrayOutputStream said = new ByteArrayOutputStream();
    PrintStream out = new PrintStream(new ByteArrayOutputStream());
    int status = Main.run(out, new PrintStream(said, true), words);
    assertTrue(status == 0 || said.toString().startsWith("takewright: "), said::toString);
    return status;
  }

  private static List<String> edit(Path file, Object... words) throws Exception {
    List<String> command =
        new ArrayList<>(List.of(Outside.python().toString(), script.toString(), file.toString()));
    for (Object word : words) {
      command.add(word.toString());
    }
    Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertEquals(0, process.waitFor(), said);
    return said.lines().toList();
  }

  /** A copy with markers; its markers as frame, length and label. */
  private static List<String[]> segment(String copy) throws Exception {
    String out = job.file(copy).toString();
    assertEquals(
        0,
        command("segment", "--kind", "pitched", job.file("take.wav").toString(), "--markers", out));
    return edit(job.file(copy), "print").stream().map(l -> l.split("\t", -1)).toList();
  }

  private static List<String> cuts(String library, String status) {
    return job.rows(library, "status", status, "note", "start_s", "end_s").stream()
        .map(r -> r[0] + " " + frame(r[1]) + " " + frame(r[2]))
        .sorted()
        .collect(Collectors.toList());
  }

  private static long frame(String seconds) {
    return Math.round(Double.parseDouble(seconds) * RATE);
  }

  private static long[] span(String[] marker) {
    long start = Long.parseLong(marker[0]);
    return new long[] {start, start + Long.parseLong(marker[1])};
  }

  @Test
  void unchangedMarkersGiveTheSameLibrary() throws Exception {
    List<String[]> markers = segment("same.wav");
    assertEquals(
        List.of("A3", "C4", "E4", "G4", "reject"), markers.stream().map(m -> m[2]).toList());

    job.build("found", String.format(SHEET, "take.wav", ""));
    job.build("marked", String.format(SHEET, "same.wav", FROM_MARKERS));

    assertEquals(cuts("found", "kept"), cuts("marked", "kept"));
    assertEquals(4, cuts("marked", "kept").size());
    assertEquals(1, cuts("marked", "rejected").size());
    List<String> onsets = onsets("found");
    for (int i = 0; i < onsets.size(); i++) {
      double late = frame(onsets("marked").get(i)) - frame(onsets.get(i));
      assertEquals(0, 1000 * late / RATE, 5, "onset in ms");
    }
  }

  private static List<String> onsets(String library) {
    return job.rows(library, "status", "kept", "onset_s").stream().map(r -> r[0]).toList();
  }

  @Test
  void theCutsAreWhereTheMarkersWereMovedToTheFrame() throws Exception {
    List<String[]> markers = segment("moved.wav");
    long[] a = span(markers.get(0));
    long[] c = span(markers.get(1));
    long[] g = span(markers.get(3));
    // Earlier and shorter; into the note; later at its end.
    long[][] to = {{a[0] - 4801, a[1] - 9973}, {c[0] + 12_345, c[1]}, {g[0], g[1] + 7_001}};
    edit(
        job.file("moved.wav"),
        "move",
        1,
        to[0][0],
        to[0][1] - to[0][0],
        "move",
        2,
        to[1][0],
        to[1][1] - to[1][0],
        "move",
        4,
        to[2][0],
        to[2][1] - to[2][0]);

    job.build("moves", String.format(SHEET, "moved.wav", FROM_MARKERS));

    long[] e = span(markers.get(2));
    assertEquals(
        List.of(
            "A3 " + to[0][0] + " " + to[0][1],
            "C4 " + to[1][0] + " " + to[1][1],
            "E4 " + e[0] + " " + e[1],
            "G4 " + to[2][0] + " " + to[2][1]),
        cuts("moves", "kept"));
    // The onset is found anew: where it was, or where the cut now lies in the note.
    List<String> onsets = onsets("moves");
    assertEquals(a[0] + 480, frame(onsets.get(0)), 240, "the onset behind a longer lead-in");
    assertEquals(to[1][0], frame(onsets.get(1)), 2400, "a cut in the note is its onset");
  }

  @Test
  void whatWasRenamedDeletedAndAddedIsBuilt() throws Exception {
    List<String[]> markers = segment("changed.wav");
    long[] c = span(markers.get(1));
    long middle = (c[0] + c[1]) / 2;
    edit(
        job.file("changed.wav"),
        "label",
        1,
        "reject", // a note that shall be left out
        "delete",
        3, // one that is not there any more
        "label",
        4,
        "C4 rr1", // what a person says that it is
        "move",
        2,
        c[0],
        middle - c[0],
        "add",
        middle,
        c[1] - middle,
        "A3 mf", // the second half is another note
        "label",
        5,
        "E4"); // talk that a person keeps

    job.build("changes", String.format(SHEET, "changed.wav", FROM_MARKERS));

    long[] g = span(markers.get(3));
    long[] talk = span(markers.get(4));
    assertEquals(
        List.of(
            "A3 " + middle + " " + c[1],
            "C4 " + g[0] + " " + g[1],
            "E4 " + talk[0] + " " + talk[1]),
        cuts("changes", "kept"));
    assertEquals(1, cuts("changes", "rejected").size(), "the note that was rejected");
    assertEquals("G4", job.rows("changes", "status", "missing", "note").get(0)[0]);
  }

  @Test
  void aPointWithoutALengthEndsWhereTheSoundDies() throws Exception {
    List<String[]> markers = segment("points.wav");
    long[] a = span(markers.get(0));
    edit(job.file("points.wav"), "point", 1);

    job.build("point", String.format(SHEET, "points.wav", FROM_MARKERS));

    String[] cut = cuts("point", "kept").get(0).split(" ");
    assertEquals(a[0], Long.parseLong(cut[1]));
    assertEquals(a[1], Long.parseLong(cut[2]), 0.1 * RATE);
  }

  @Test
  void withoutMarkersOrWithoutTheKeyTheyAreNotTaken() throws Exception {
    UncheckedIOException none =
        assertThrows(
            UncheckedIOException.class,
            () -> job.build("none", String.format(SHEET, "take.wav", FROM_MARKERS)));
    assertTrue(none.getMessage().contains("has no markers"), none::getMessage);
    Path sheet = Files.writeString(job.file("check.yaml"), String.format(SHEET, "take.wav", ""));
    assertEquals(0, command("check", sheet.toString()));
    Files.writeString(sheet, String.format(SHEET, "take.wav", FROM_MARKERS));
    assertEquals(2, command("check", sheet.toString()), "before a build says so");
    List<String[]> markers = segment("ignored.wav");
    edit(job.file("ignored.wav"), "move", 1, span(markers.get(0))[0] - 4801, 9000);
    job.build("ignored", String.format(SHEET, "ignored.wav", ""));
    job.build("plain", String.format(SHEET, "take.wav", ""));
    assertEquals(cuts("plain", "kept"), cuts("ignored", "kept"));
  }

  /** The whole way: built, its marked copy edited, and built from that. */
  @Test
  void aBuildMarksItsTakesBesideTheLibrary() throws Exception {
    Path sheet = Files.writeString(job.file("whole.yaml"), String.format(SHEET, "take.wav", ""));
    String out = job.file("whole").toString();
    assertEquals(0, command("build", sheet.toString(), "--out", out));
    assertTrue(Files.notExists(job.file("whole-markers")), "not unless it is asked for");

    assertEquals(0, command("build", sheet.toString(), "--out", out, "--markers"));

    Path copy = job.file("whole-markers/take.wav");
    List<String[]> markers = edit(copy, "print").stream().map(l -> l.split("\t", -1)).toList();
    assertEquals(
        List.of("A3 mf rr1", "C4 mf rr1", "E4 mf rr1", "G4 mf rr1", "reject"),
        markers.stream().map(m -> m[2]).toList());
    assertEquals(
        cuts("whole", "kept").stream().map(c -> c.split(" ")[1]).toList(),
        markers.subList(0, 4).stream().map(m -> m[0]).toList());
    edit(copy, "label", 4, "reject");
    byte[] edited = Files.readAllBytes(copy);
    assertEquals(0, command("build", sheet.toString(), "--out", out, "--markers"));
    assertEquals(0, java.util.Arrays.compare(edited, Files.readAllBytes(copy)), "left as it is");
    job.build("again", String.format(SHEET, "whole-markers/take.wav", FROM_MARKERS));
    assertEquals(3, cuts("again", "kept").size());
  }

  @Test
  void neitherTheTakeNorAnEditedCopyIsWrittenOver() throws Exception {
    segment("mine.wav");
    String take = job.file("take.wav").toString();
    String copy = job.file("mine.wav").toString();
    byte[] before = Files.readAllBytes(job.file("take.wav"));

    assertEquals(2, command("segment", take, "--markers", copy), "it is there already");
    assertEquals(0, command("segment", take, "--markers", copy, "--replace"), "nobody edited it");
    edit(job.file("mine.wav"), "label", 1, "mine");
    byte[] edited = Files.readAllBytes(job.file("mine.wav"));
    assertEquals(2, command("segment", take, "--markers", copy, "--replace"));
    assertEquals(2, command("segment", take, "--markers", take, "--replace"));
    assertEquals(2, command("segment", copy, "--markers", copy, "--replace"));
    assertEquals(List.of(edited.length), List.of((int) Files.size(job.file("mine.wav"))));
    assertEquals(0, java.util.Arrays.compare(before, Files.readAllBytes(job.file("take.wav"))));
    assertNotEquals(0, edited.length);
  }
}
