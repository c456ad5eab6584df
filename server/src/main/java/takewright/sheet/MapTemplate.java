package takewright.sheet;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.SettingException;
import takewright.map.MapFacts;
import takewright.map.TextTemplate;
import takewright.map.VelocityRule;
import takewright.map.Zone;

/**
 * A template of the maker's own by which the key map is written as text.
 *
 * @param line where the sheet names it, from 1
 * @param file the template
 * @param out the name of the file that is made; {@code {library}}, {@code {articulation}}, {@code
 *     {layer}} and {@code {dynamic}} stand for those of the samples in it
 */
public record MapTemplate(int line, Path file, String out) {
  private static final Set<String> MARKUP = Set.of("html", "htm", "xml", "svg", "xhtml");

  /** The largest template, in bytes. */
  private static final int MAX_BYTES = 1 << 20;

  /** A sample that there might be. */
  private static final Zone TRIED =
      new Zone("a.wav", "a", "a", "mf", 60, 60, 60, 1, 127, 1, 1, 0, 0L, 1L, 1, VelocityRule.EVEN);

  /**
   * Reads the template, and tries it on a sample that there might be, so that a fact that does not
   * exist is told before hours of work.
   *
   * @throws FileProblemException if it is not a template, or asks for what does not exist
   * @throws IOException if it cannot be read
   */
  public TextTemplate read() throws IOException {
    try {
      TextTemplate template = TextTemplate.of(text(), isMarkup());
      template.apply(new MapFacts("a", String::valueOf).of(List.of(TRIED)));
      return template;
    } catch (CharacterCodingException e) {
      throw FileProblemException.invalid(file.toString(), "is not UTF-8", "save it as UTF-8");
    } catch (SettingException e) {
      throw new FileProblemException(e.problem().at(file.toString(), 0), e);
    }
  }

  private String text() throws IOException {
    byte[] bytes;
    try (var in = CheckedFile.read(file)) {
      bytes = in.readNBytes(MAX_BYTES + 1);
    }
    if (bytes.length > MAX_BYTES) {
      throw new SettingException("", "is larger than 1 MiB", "give a template");
    }
    return StandardCharsets.UTF_8.newDecoder().decode(ByteBuffer.wrap(bytes)).toString();
  }

  /** Whether what fills its gaps is escaped for XML and HTML. */
  public boolean isMarkup() {
    return MARKUP.contains(out.substring(out.lastIndexOf('.') + 1).toLowerCase(Locale.ROOT));
  }

  /** The name of the file that a sample's facts are in. */
  public String outOf(String library, Zone zone) {
    return outOf(library, zone.articulation(), zone.layer(), zone.dynamic());
  }

  /** The same by the facts that it may depend on. */
  public String outOf(String library, String articulation, String layer, String dynamic) {
    return out.replace("{library}", safe(library))
        .replace("{articulation}", safe(articulation))
        .replace("{layer}", safe(layer))
        .replace("{dynamic}", safe(dynamic));
  }

  /** A text made safe for file names, like those of samples. */
  public static String safe(String text) {
    return text.replaceAll("[^A-Za-z0-9.+-]+", "-");
  }
}
