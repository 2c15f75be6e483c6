typedef int passo_empty;
