package takewright.cli.show;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvFactory;
import com.fasterxml.jackson.dataformat.csv.CsvGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;
import java.io.Closeable;
import java.io.IOException;
import java.io.OutputStream;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;

/**
 * Writes a table to standard output: CSV with a header, or JSON, an array of objects with the
 * columns as keys. A value is a text, a whole or rounded number, a list of words, or null.
 */
public final class TableWriter implements Closeable {
  private final List<String> columns;
  private final JsonGenerator writer;
  private final boolean json;
  private final OutputStream out;

  public TableWriter(OutputStream out, boolean json, List<String> columns) throws IOException {
    this.columns = columns;
    this.json = json;
    this.out = out;
    if (json) {
      writer = new JsonFactory().createGenerator(out);
      writer.useDefaultPrettyPrinter();
      writer.writeStartArray();
    } else {
      CsvSchema.Builder schema = CsvSchema.builder();
      columns.forEach(schema::addColumn);
      CsvGenerator csv = new CsvFactory().createGenerator(out);
      csv.setSchema(schema.build());
      writer = csv;
    }
    writer.disable(JsonGenerator.Feature.AUTO_CLOSE_TARGET);
    writer.enable(JsonGenerator.Feature.WRITE_BIGDECIMAL_AS_PLAIN);
    if (!json) {
      // Not left to the schema, which omits the header of a table without rows.
      row(columns.toArray());
    }
  }

  /** A number rounded to {@code digits} decimals; null if it is not finite. */
  public static BigDecimal rounded(double value, int digits) {
    return Double.isFinite(value)
        ? BigDecimal.valueOf(value).setScale(digits, RoundingMode.HALF_EVEN)
        : null;
  }

  /** Writes one row, its values in the order of the columns. */
  public void row(Object... values) throws IOException {
    if (!json) {
      writer.writeStartArray();
      for (Object value : values) {
        write(value);
      }
      writer.writeEndArray();
      return;
    }
    writer.writeStartObject();
    for (int i = 0; i < values.length; i++) {
      writer.writeFieldName(columns.get(i));
      write(values[i]);
    }
    writer.writeEndObject();
  }

  private void write(Object value) throws IOException {
    if (value == null) {
      writer.writeNull();
    } else if (value instanceof BigDecimal number) {
      writer.writeNumber(number);
    } else if (value instanceof Number number) {
      writer.writeNumber(number.longValue());
    } else if (value instanceof List<?> words) {
      if (json) {
        writer.writeStartArray();
        for (Object word : words) {
          writer.writeString(word.toString());
        }
        writer.writeEndArray();
      } else {
        writer.writeString(String.join(" ", words.stream().map(Object::toString).toList()));
      }
    } else {
      writer.writeString(value.toString());
    }
  }

  @Override
  public void close() throws IOException {
    if (json) {
      writer.writeEndArray();
    }
    writer.close();
    if (json) {
      out.write('\n');
    }
    out.flush();
  }
}
