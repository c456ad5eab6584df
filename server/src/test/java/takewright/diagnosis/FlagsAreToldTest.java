package takewright.diagnosis;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.EnumSet;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;

/** Every flag is explained where its users read: in the sheet's reference and in the contract. */
class FlagsAreToldTest {
  private static final String BEGIN = "<!-- flags: begin -->";
  private static final String END = "<!-- flags: end -->";

  /** A constant of the contract's enum, with the comment above it. */
  private static final Pattern CONSTANT =
      Pattern.compile("((?:^ *//.*\\n)+) *FLAG_([A-Z_]+) = [0-9]+;", Pattern.MULTILINE);

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
  void theContractHoldsEveryFlagAndWhatItMeans() throws IOException {
    String contract = read("proto/takewright/v1/audio.proto");
    Set<String> told = new TreeSet<>();
    Matcher constant = CONSTANT.matcher(contract.substring(contract.indexOf("enum Flag {")));
    while (constant.find()) {
      String comment = constant.group(1).replaceAll("\\s*//\\s*", " ").strip();
      told.add(constant.group(2) + ": " + comment);
    }
    Set<String> flags = new TreeSet<>(Set.of("UNSPECIFIED: Never sent."));
    for (Flag flag : Flag.values()) {
      flags.add(flag.name() + ": " + sentence(flag.meaning()));
    }
    assertEquals(flags, told, "add new flags to the end of the enum, with the next number");
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
