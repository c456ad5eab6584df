package takewright.diagnosis;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.EnumSet;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;

/** Every flag is explained where its users read: in the sheet's reference and in the contract. */
class FlagsAreToldTest {
  private static final String BEGIN = "<!-- flags: begin -->";
  private static final String END = "<!-- flags: end -->";

  /** The comment above a field of flags. */
  private static final Pattern FIELD =
      Pattern.compile("((?:^ *//.*\\n)+) *repeated string flags = ", Pattern.MULTILINE);

  private static final Pattern WORD = Pattern.compile("\"([a-z_]+)\"");

  /** Only a build, which knows what a sample should be, can set these. */
  private static final Set<Flag> OF_BUILDS =
      Set.of(Flag.SECOND_EAR_DISAGREES, Flag.QUARTER_TONE_OFF);

  private static String read(String file) throws IOException {
    return Files.readString(Path.of("..").resolve(file));
  }

  private static String sentence(String clause) {
    return Character.toUpperCase(clause.charAt(0)) + clause.substring(1) + ".";
  }

  @Test
  void theSheetsReferenceHoldsTheTable() throws IOException {
    StringBuilder table = new StringBuilder("\n\n| flag | set by | what it means | what to do |\n");
    table.append("| --- | --- | --- | --- |\n");
    for (Flag flag : Flag.values()) {
      table.append(
          String.format(
              "| `%s` | %s | %s | %s |\n",
              flag.word(), flag.stage().word(), sentence(flag.meaning()), sentence(flag.remedy())));
    }
    table.append("\n");
    String guide = read("server/SHEET.md");
    String told = guide.substring(guide.indexOf(BEGIN) + BEGIN.length(), guide.indexOf(END));
    assertEquals(table.toString(), told, "put this table between the two marks of server/SHEET.md");
  }

  @Test
  void theContractNamesEveryFlagThatACallAnswersWith() throws IOException {
    Set<Flag> named = EnumSet.noneOf(Flag.class);
    for (String file : new String[] {"operations.proto", "session.proto"}) {
      Matcher field = FIELD.matcher(read("proto/takewright/v1/" + file));
      while (field.find()) {
        Matcher word = WORD.matcher(field.group(1));
        while (word.find()) {
          named.add(Flag.of(word.group(1)).orElseThrow(() -> new AssertionError(word.group())));
        }
      }
    }
    for (Flag flag : Flag.values()) {
      boolean ofACall =
          !OF_BUILDS.contains(flag)
              && switch (flag.stage()) {
                case SEGMENT, TUNE, CLEAN, ANALYSE -> true;
                case MATCH, LEVEL, LOOP, LAYER -> false;
              };
      assertEquals(ofACall, named.contains(flag), flag.word());
    }
  }

  @Test
  void theContractNamesEveryReason() throws IOException {
    String contract = read("proto/takewright/v1/operations.proto");
    for (Reason reason : Reason.values()) {
      assertTrue(contract.contains(reason.name()), reason.name());
    }
  }

  @Test
  void aSetIsReadBackFromItsText() {
    for (Flag flag : Flag.values()) {
      assertEquals(Set.of(flag), Flags.parse(flag.word()));
    }
    assertEquals(EnumSet.allOf(Flag.class), Flags.parse(Flags.text(EnumSet.allOf(Flag.class))));
    assertEquals(Set.of(), Flags.parse(""));
  }
}
