package takewright.map;

import com.samskivert.mustache.BasicCollector;
import com.samskivert.mustache.Escapers;
import com.samskivert.mustache.Mustache;
import com.samskivert.mustache.MustacheException;
import com.samskivert.mustache.MustacheParseException;
import com.samskivert.mustache.Template;
import java.util.HashMap;
import java.util.Iterator;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * A text with gaps that the facts of a key map fill: a Mustache template (mustache(5)). Besides the
 * manual's tags, {@code {{#-first}}}, {@code {{#-last}}} and {@code {{-index}}} tell where in a
 * list one is. A fact that is empty counts as false. Partials are not read: a template is one file.
 */
public final class TextTemplate {
  /** Items that all lists of a text may have together: lists within lists multiply. */
  private static final int MAX_ITEMS = 5_000_000;

  private static final Pattern LINE = Pattern.compile(" @ line (\\d+)$");

  private final String text;
  private final Mustache.Compiler compiler;

  private TextTemplate(String text, Mustache.Compiler compiler) {
    this.text = text;
    this.compiler = compiler;
  }

  /**
   * Reads a template.
   *
   * @param isMarkup whether what fills the gaps is escaped for XML and HTML
   * @throws SettingException if it is not a template; the message names the line
   */
  public static TextTemplate of(String text, boolean isMarkup) {
    Mustache.Compiler compiler =
        Mustache.compiler()
            .withEscaper(isMarkup ? Escapers.HTML : Escapers.NONE)
            .nullValue("")
            .emptyStringIsFalse(true)
            .strictSections(true)
            .withLoader(TextTemplate::refusePartial);
    TextTemplate template = new TextTemplate(text, compiler);
    template.compile(compiler);
    return template;
  }

  private static java.io.Reader refusePartial(String name) {
    throw new MustacheException("asks for a partial, \"" + name + "\", which is not read");
  }

  private Template compile(Mustache.Compiler by) {
    try {
      return by.compile(text);
    } catch (MustacheParseException e) {
      Matcher line = LINE.matcher(e.getMessage());
      String where = line.find() ? " in line " + line.group(1) : "";
      String what = line.reset().replaceFirst("");
      throw new SettingException(
          Problem.invalid("", "is not a template: " + what + where, "correct its tags"));
    }
  }

  /**
   * The text with its gaps filled.
   *
   * @param facts texts, lists of facts and facts within facts, by name
   * @throws SettingException if it asks for a fact that does not exist, or for more than 5 million
   *     items of lists; the message names the fact and the line
   */
  public String apply(Map<String, Object> facts) {
    try {
      return compile(compiler.withCollector(new Counting())).execute(facts);
    } catch (MustacheException.Context e) {
      throw new SettingException(
          Problem.invalid(
              "",
              "asks for \"" + e.key + "\" in line " + e.lineNo + ", which is no fact there",
              "use the names of the columns of map.csv"));
    } catch (MustacheException e) {
      throw new SettingException(
          Problem.invalid("", String.valueOf(e.getMessage()), "write it in one file"));
    }
  }

  /** Looks facts up in maps alone, and counts the items of lists. */
  private static final class Counting extends BasicCollector {
    private int left = MAX_ITEMS;

    @Override
    public Iterator<?> toIterator(Object value) {
      Iterator<?> items = super.toIterator(value);
      if (items == null) {
        return null;
      }
      return new Iterator<Object>() {
        @Override
        public boolean hasNext() {
          return items.hasNext();
        }

        @Override
        public Object next() {
          if (left-- <= 0) {
            throw new SettingException(
                Problem.invalid(
                    "",
                    "goes through more than " + MAX_ITEMS + " items of lists",
                    "do not put a list into itself"));
          }
          return items.next();
        }
      };
    }

    @Override
    public <K, V> Map<K, V> createFetcherCache() {
      return new HashMap<>();
    }
  }
}
