//! Documents: PDF pages, CSV and XLSX.
