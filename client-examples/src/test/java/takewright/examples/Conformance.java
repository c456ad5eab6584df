package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.MethodDescriptor;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.ServerServiceGrpc;
import takewright.v1.SessionServiceGrpc;

/**
 * What every client must do, whatever its language: one list, generated from the contract's methods
 * and the shared naming vectors. A method that the contract has and this list does not know is an
 * error.
 */
final class Conformance {
  /** How audio gets to the service and back. */
  enum Way {
    /** The service reads and writes the files. */
    PATH,
    /** The client reads and writes them, in a folder that the service may not see. */
    AUDIO
  }

  /**
   * One use of a client.
   *
   * @param name for the report
   * @param words the command's words; {@code IN} is the input, {@code OUT} the output
   * @param input the sound that it takes; null if it takes none
   * @param way how the sound travels
   * @param expected holds what was printed and written against what is known
   */
  record Use(String name, List<String> words, Sound input, Way way, Expected expected) {
    @Override
    public String toString() {
      return name;
    }
  }

  /** The sounds. */
  enum Sound {
    /** One A4 from 0.5 to 2.5 s in 3 s. */
    TONE,
    /** Three tones ({@link TestSounds#TONES}). */
    TAKE
  }

  /** What is known of a result. */
  interface Expected {
    /**
     * Checks it.
     *
     * @param file the input as it was named
     * @param out the file that it wrote; not there if it writes none
     */
    void check(Language.Run run, Path file, Path out) throws IOException;
  }

  private Conformance() {}

  static List<Use> uses(Path namingVectors) throws IOException {
    List<Use> uses = new ArrayList<>();
    Set<String> unknown = new TreeSet<>();
    for (MethodDescriptor<?, ?> method : methods()) {
      String name = method.getBareMethodName();
      switch (name) {
        case "Segment" ->
            both(uses, name, Sound.TAKE, List.of("segment", "IN"), CheckResult::regions);
        case "Analyse" -> both(uses, name, Sound.TONE, List.of("analyse", "IN"), CheckResult::tone);
        case "Denoise" ->
            both(uses, name, Sound.TAKE, List.of("denoise", "IN", "OUT"), CheckResult::denoised);
        case "Retune" -> {
          both(uses, name, Sound.TONE, List.of("retune", "IN", "OUT"), CheckResult::inTune);
          List<String> byCents = List.of("retune", "IN", "OUT", "--cents", "-100");
          both(uses, name + " by cents", Sound.TONE, byCents, CheckResult::aSemitoneLower);
        }
        case "Layer" ->
            both(uses, name, Sound.TONE, List.of("layer", "IN", "OUT"), CheckResult::inARoom);
        case "FormatName" -> names(uses, namingVectors, true);
        case "ParseName" -> names(uses, namingVectors, false);
        case "GetServerInfo" ->
            uses.add(new Use(name, List.of("info"), null, Way.PATH, CheckResult::info));
        case "FollowSession", "EndSession", "OpenBoard" -> {
          // RestartTest and the lines of the READMEs; the board is for people.
        }
        case "StartBuild", "WatchBuild", "ResumeBuild" -> {
          // RestartTest: a build that is cut off is resumed.
        }
        case "GetBuild",
            "ListBuilds",
            "CancelBuild",
            "OpenBuildPage",
            "CheckSheet",
            "Audit",
            "RenameSamples",
            "Render" -> {
          // The command and the page have them; no client shows them.
        }
        default -> unknown.add(name);
      }
    }
    assertEquals(Set.of(), unknown, "no client's test knows these methods of the contract");
    return uses;
  }

  private static List<MethodDescriptor<?, ?>> methods() {
    List<MethodDescriptor<?, ?>> methods = new ArrayList<>();
    methods.addAll(OperationsServiceGrpc.getServiceDescriptor().getMethods());
    methods.addAll(NamingServiceGrpc.getServiceDescriptor().getMethods());
    methods.addAll(ServerServiceGrpc.getServiceDescriptor().getMethods());
    methods.addAll(LibraryServiceGrpc.getServiceDescriptor().getMethods());
    methods.addAll(SessionServiceGrpc.getServiceDescriptor().getMethods());
    return methods;
  }

  private static void both(
      List<Use> uses, String name, Sound sound, List<String> words, Expected expected) {
    for (Way way : Way.values()) {
      List<String> all = new ArrayList<>(words);
      if (way == Way.AUDIO) {
        all.add("--stream");
      }
      uses.add(new Use(name + " by " + way, all, sound, way, expected));
    }
  }

  /** Names in the usual style, from the vectors that the server's own test runs. */
  private static void names(List<Use> uses, Path vectors, boolean formats) throws IOException {
    List<String> lines = Files.readAllLines(vectors);
    List<String> header = List.of(lines.get(0).split(","));
    int count = 0;
    for (String line : lines.subList(1, lines.size())) {
      List<String> row = Arrays.asList(line.split(",", -1));
      boolean isUsual =
          row.get(header.indexOf("check")).equals("both")
              && row.get(header.indexOf("pattern"))
                  .equals("{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}")
              && row.get(header.indexOf("middle_c")).equals("C4")
              && row.get(header.indexOf("accidentals")).equals("sharp")
              && row.get(header.indexOf("sharp_sign")).equals("#");
      if (!isUsual || count == 3) {
        continue;
      }
      count++;
      List<String> facts = List.of("library", "articulation", "layer", "midi", "dynamic", "rr");
      List<String> values = facts.stream().map(f -> row.get(header.indexOf(f))).toList();
      String name = row.get(header.indexOf("name"));
      List<String> words = new ArrayList<>(List.of("name"));
      if (formats) {
        for (int i = 0; i < facts.size(); i++) {
          words.addAll(List.of("--" + facts.get(i), values.get(i)));
        }
      } else {
        words.add(name);
      }
      List<String> printed =
          formats ? List.of(name) : List.of(String.join("\t", facts), String.join("\t", values));
      uses.add(
          new Use(
              (formats ? "FormatName " : "ParseName ") + name,
              words,
              null,
              Way.PATH,
              (run, file, out) -> assertEquals(printed, run.out())));
    }
    assertTrue(count > 0, "no vector in the usual style");
  }
}
