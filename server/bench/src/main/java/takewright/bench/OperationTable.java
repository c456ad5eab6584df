package takewright.bench;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * Our operations beside general-purpose tools of the same task, over the same audio, on one core:
 * processor time against processor time. "Cold" is a new Java process with its start, "warm" a
 * later run in the same process; a tool is a new process for each take, native and so never warmer.
 */
final class OperationTable {
  private final Takes.Session session;
  private final List<Path> notes;
  private final Path impulse;
  private final Map<String, Rivals.Took> tools;
  private final Table table =
      new Table(
          "Operations on one core: seconds of audio per second of processor time",
          "",
          "cold",
          "warm",
          "kB allocated per second of audio",
          "tool",
          "the tool's speed",
          "cold / tool",
          "warm / tool");

  OperationTable(
      Takes.Session session, List<Path> notes, Path impulse, Map<String, Rivals.Took> tools) {
    this.session = session;
    this.notes = notes;
    this.impulse = impulse;
    this.tools = tools;
  }

  Table measure() throws IOException, InterruptedException {
    Map<String, Double> cold = new LinkedHashMap<>();
    Map<String, Operations.Took> warm = new LinkedHashMap<>();
    for (String name : Operations.ALL) {
      cold.put(name, run("operation", name).cpuS());
      warm.putAll(Operations.Took.read(run("operation-warm", name).out()));
    }
    double noteS = 0;
    for (Path file : notes) {
      noteS += Takes.seconds(file);
    }
    double s = session.seconds();
    row("segment: onsets, ends, kinds, notes", "segment", cold, warm, "aubioonset", s);
    row("analyse: pitch of every note", "pitch", cold, warm, "aubiopitch of the notes", noteS);
    row("analyse: loudness, true peak, floor", "loudness", cold, warm, "ffmpeg ebur128", s);
    row("denoise", "denoise", cold, warm, "sox noisered", s);
    row("denoise", "denoise", cold, warm, "ffmpeg afftdn", s);
    row("resample to 44.1 kHz", "resample", cold, warm, "sox rate -v -s", s);
    row("resample to 44.1 kHz", "resample", cold, warm, "ffmpeg soxr", s);
    row("retune by -14 cents", "retune", cold, warm, "sox speed, rate -v -s", s);
    row("convolve with 2 s", "convolve", cold, warm, "ffmpeg afir", s);
    row("reading the file (part of all the above)", "read", cold, warm, "", s);
    return table;
  }

  private Program.Took run(String what, String name) throws IOException, InterruptedException {
    List<String> words = new ArrayList<>(List.of("work", what, name, impulse.toString()));
    (name.equals("pitch") ? notes : session.takes()).forEach(file -> words.add(file.toString()));
    List<String> command = Program.own(List.of(), words.toArray(String[]::new));
    return Program.run(Program.onOneCore(command));
  }

  private void row(
      String words,
      String name,
      Map<String, Double> cold,
      Map<String, Operations.Took> warm,
      String tool,
      double seconds) {
    Operations.Took took = warm.get(name);
    Rivals.Took other = tools.get(tool);
    table.row(
        words,
        Table.figure(seconds / cold.get(name)),
        Table.figure(seconds / took.warmS()),
        Table.figure(took.allocated() / 1000 / seconds),
        other == null ? "-" : tool,
        other == null ? "-" : Table.figure(seconds / other.cpuS()),
        other == null ? "-" : Table.figure(other.cpuS() / cold.get(name)),
        other == null ? "-" : Table.figure(other.cpuS() / took.warmS()));
  }
}
