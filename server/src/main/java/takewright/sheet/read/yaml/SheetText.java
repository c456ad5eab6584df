package takewright.sheet.read.yaml;

import java.io.IOException;
import java.io.StringReader;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.CodingErrorAction;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.Yaml;
import org.yaml.snakeyaml.error.Mark;
import org.yaml.snakeyaml.error.MarkedYAMLException;
import org.yaml.snakeyaml.error.YAMLException;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.reader.ReaderException;
import takewright.audio.original.CheckedFile;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;

/**
 * A sheet as text and as the tree of its YAML. The tree keeps every scalar as it was written, so
 * that "no", "1:30" and "f" are not taken for a truth value, a number in sixties or anything else,
 * and knows the line of each.
 */
public final class SheetText {
  /** Far more than any sheet; a larger file is something else. */
  private static final int MAX_BYTES = 1 << 20;

  /** A sheet is seven deep; nothing that is read goes deeper. */
  private static final int MAX_DEPTH = 20;

  private final List<String> lines;
  private final Node root;

  private SheetText(List<String> lines, Node root) {
    this.lines = lines;
    this.root = root;
  }

  /** Reads a file whose path has no links, or throws what is wrong with it as a whole. */
  public static SheetText read(Path file) throws IOException {
    if (Files.isDirectory(file)) {
      throw bad(file, 0, "is a folder", "give the path of a sheet in it");
    }
    if (!Files.exists(file)) {
      throw bad(file, 0, "does not exist", "correct the path");
    }
    return of(file, decode(file, bytes(file)));
  }

  /** Reads text that the file holds, or would hold. */
  public static SheetText of(Path file, String text) throws SheetException {
    List<String> lines = text.lines().toList();
    LoaderOptions options = new LoaderOptions();
    options.setNestingDepthLimit(MAX_DEPTH);
    options.setMaxAliasesForCollections(20);
    options.setCodePointLimit(MAX_BYTES);
    options.setProcessComments(false);
    Node root;
    try {
      root = new Yaml(options).compose(new StringReader(text));
    } catch (MarkedYAMLException e) {
      throw syntax(file, lines, e);
    } catch (ReaderException e) {
      int line = 1 + (int) text.codePoints().limit(e.getPosition()).filter(c -> c == '\n').count();
      throw bad(
          file,
          line,
          String.format("holds the unprintable character U+%04X", e.getCodePoint()),
          "take it out");
    } catch (YAMLException e) {
      throw bad(
          file,
          0,
          "is not a sheet: " + oneLine(e.getMessage()),
          "look at the indentation and the quotes");
    }
    return new SheetText(lines, root);
  }

  private static byte[] bytes(Path file) throws IOException {
    try (var in = CheckedFile.read(file)) {
      byte[] bytes = in.readNBytes(MAX_BYTES + 1);
      if (bytes.length > MAX_BYTES) {
        throw bad(file, 0, "is larger than 1 MiB, which no sheet is", "give the path of a sheet");
      }
      return bytes;
    }
  }

  private static String decode(Path file, byte[] bytes) throws SheetException {
    ByteBuffer in = ByteBuffer.wrap(bytes);
    try {
      String text =
          StandardCharsets.UTF_8
              .newDecoder()
              .onMalformedInput(CodingErrorAction.REPORT)
              .onUnmappableCharacter(CodingErrorAction.REPORT)
              .decode(in)
              .toString();
      return text.startsWith("\uFEFF") ? text.substring(1) : text;
    } catch (CharacterCodingException e) {
      int line = 1;
      for (int i = 0; i < in.position(); i++) {
        line += bytes[i] == '\n' ? 1 : 0;
      }
      throw bad(file, line, "is not UTF-8 text", "save it as UTF-8");
    }
  }

  private static SheetException syntax(Path file, List<String> lines, MarkedYAMLException e) {
    Mark context = e.getContextMark();
    String what = oneLine(String.valueOf(e.getProblem()));
    // What is missing in a bracketed list is noticed only behind it; where it begins says more.
    boolean bracket = context != null && String.valueOf(e.getContext()).contains("flow");
    Mark mark = bracket || e.getProblemMark() == null ? context : e.getProblemMark();
    int line = mark == null ? 0 : mark.getLine() + 1;
    String source = line > 0 && line <= lines.size() ? lines.get(line - 1) : "";
    if (what.contains("\\t(TAB)")) {
      return bad(file, line, "a tab cannot stand here", "indent with spaces");
    }
    if (source.matches("\\s*name\\s*:\\s*\\{.*")) {
      return bad(
          file,
          line,
          "a text that begins with { must stand in quotes",
          "write name: \"{library}_...\"");
    }
    if (bracket && source.matches(".*\\s#.*")) {
      return bad(
          file,
          line,
          "a # after a space begins a comment, so what is open here is not closed",
          "put texts that hold # in quotes");
    }
    if (bracket) {
      return bad(
          file,
          line,
          "the list or mapping that begins here is not closed or lacks a comma",
          "close it with ] or }, and put a comma between its items");
    }
    if (what.contains("mapping values are not allowed")) {
      return bad(
          file,
          line,
          "a \": \" stands where none can be",
          "put a text that holds \": \" in quotes, or correct the indentation");
    }
    if (what.contains("another document")) {
      return bad(file, line, "a second document begins here", "take out the line ---");
    }
    return bad(file, line, "is not YAML: " + what, "look at the indentation and the quotes here");
  }

  private static String oneLine(String text) {
    String line = text.strip().replaceAll("\\s+", " ");
    return line.length() <= 160 ? line : line.substring(0, 160) + "...";
  }

  private static SheetException bad(Path file, int line, String what, String remedy) {
    return new SheetException(file, SheetProblem.error(line, "", what, remedy));
  }

  /** The tree; null of an empty file. */
  public Node root() {
    return root;
  }

  /** The line, from 1, on which a node begins. */
  public static int line(Node node) {
    return node.getStartMark().getLine() + 1;
  }

  /** Whether a comment stands behind a node in its line: perhaps a "#" that was meant as text. */
  boolean commentBehind(Node node) {
    Mark end = node.getEndMark();
    if (end.getLine() >= lines.size()) {
      return false;
    }
    String line = lines.get(end.getLine());
    return line.substring(Math.min(end.getColumn(), line.length())).matches("\\s*#.*");
  }
}
