package takewright.cli.table;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvFactory;
import com.fasterxml.jackson.dataformat.csv.CsvGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;
import java.io.Closeable;
import java.io.IOException;
import java.io.OutputStream;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;

/**
 * Writes a table to standard output: CSV with a header, or JSON, an array of objects with the
 * columns as keys.
 *
 * @param <R> what a row is
 */
public final class TableWriter<R> implements Closeable {
  private final List<TableColumn<R>> columns;
  private final JsonGenerator writer;
  private final boolean json;
  private final OutputStream out;

  public TableWriter(OutputStream out, boolean json, List<TableColumn<R>> columns)
      throws IOException {
    this.columns = columns;
    this.json = json;
    this.out = out;
    if (json) {
      writer = new JsonFactory().createGenerator(out);
      writer.useDefaultPrettyPrinter();
      writer.writeStartArray();
    } else {
      CsvSchema.Builder schema = CsvSchema.builder();
      columns.forEach(column -> schema.addColumn(column.name()));
      CsvGenerator csv = new CsvFactory().createGenerator(out);
      csv.setSchema(schema.build());
      writer = csv;
    }
    writer.disable(JsonGenerator.Feature.AUTO_CLOSE_TARGET);
    writer.enable(JsonGenerator.Feature.WRITE_BIGDECIMAL_AS_PLAIN);
    if (!json) {
      // Not left to the schema, which omits the header of a table without rows.
      writeRow(columns.stream().<Object>map(TableColumn::name).toList());
    }
  }

  /** Writes one row. */
  public void row(R row) throws IOException {
    if (!json) {
      List<Object> values = new ArrayList<>();
      columns.forEach(column -> values.add(column.get().apply(row)));
      writeRow(values);
      return;
    }
    writer.writeStartObject();
    for (TableColumn<R> column : columns) {
      writer.writeFieldName(column.name());
      write(column.get().apply(row));
    }
    writer.writeEndObject();
  }

  private void writeRow(List<Object> values) throws IOException {
    writer.writeStartArray();
    for (Object value : values) {
      write(value);
    }
    writer.writeEndArray();
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
